"""Units of every kind over HTTP, in what they have in common; and the end of one."""

from typing import Any

from rest_framework.response import Response

from common.api.permissions import ANY_ROLE
from common.api.views import expected_version, takes
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.references import unit_in_path
from fleet.api.requests.views import ListMixin, ReadMixin
from fleet.api.units.answers import UnitAnswer
from fleet.api.units.bodies import RetireBody
from fleet.api.units.filters import UnitFilter
from fleet.models import Unit
from fleet.selectors.carrier.carrier import carriers_day
from fleet.services.units.units import retire_unit
from fleet.transitions import UNIT


class UnitViewSet(ListMixin, ReadMixin):
    """Tractors, trailers and cooling units in service, or retired ones when asked for.

    One is named by number, number@owner or key; a retired one by its key.
    """

    roles = {"list": ANY_ROLE, "retrieve": ANY_ROLE, "retire": UNIT.roles_for("retire")}
    if_match = frozenset({"retire"})
    filterset_class = UnitFilter
    ordering = ("number",)
    shows = UnitAnswer
    queryset = Unit.objects.select_related("home_site")

    def one(self, name: str) -> Unit:
        """Return the unit of a number, number@owner or key."""
        return unit_in_path(name, among=self.get_queryset())

    def answer_of(self, row: Any) -> UnitAnswer:
        return UnitAnswer.for_roles(row, self.caller_roles)

    @takes(RetireBody)
    def retire(self, request: ServiceRequest, body: RetireBody, ref: str) -> Response:
        """Take a unit out of service for good; its history stays, its number is free."""
        unit = retire_unit(
            unit_id=self.one(ref).pk,
            version=expected_version(request),
            retired_on=body.retired_on,
            reason=body.reason,
            today=carriers_day(request.now),
            actor=request.person,
            now=request.now,
        )
        return self.shown(self.get_queryset().get(pk=unit.pk))
