"""Mountings over HTTP: which cooling unit sits on which trailer."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import Q
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.bodies import Body
from common.api.filter_kinds import OpenFilter, within
from common.api.filters import StrictFilterSet
from common.api.permissions import ANY_ROLE
from common.api.values import Instant
from common.api.views import takes
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.filters import UnitRefFilter
from fleet.api.requests.references import units_in_body
from fleet.api.requests.roles import SHOP
from fleet.api.requests.views import ListMixin, ReadMixin
from fleet.api.units.couplings import EndedAtBody
from fleet.api.units.short import UnitRef, UnitShort
from fleet.models import Mounting
from fleet.selectors.units.combinations import mounting_state
from fleet.services.units.mountings import dismount, mount
from fleet.transitions import MOUNTING


class MountingBody(Body):
    """Which cooling unit sits on which trailer, and since when."""

    trailer: UnitRef
    cooling_unit: UnitRef
    started_at: Instant


class MountingAnswer(Answer):
    """A cooling unit on a trailer; without an end it is there still."""

    id: UUID
    trailer: UnitShort
    cooling_unit: UnitShort
    started_at: datetime
    ended_at: datetime | None
    recorded_at: datetime
    allowed_actions: list[str]


class MountingFilter(StrictFilterSet):
    trailer = UnitRefFilter("trailer__unit")
    cooling_unit = UnitRefFilter("cooling_unit__unit")
    open = OpenFilter(Q(span__upper_inf=True))
    since, until = within("recorded_at")


class MountingViewSet(ListMixin, ReadMixin):
    """Mountings, in the order they were recorded."""

    roles = {"list": ANY_ROLE, "retrieve": ANY_ROLE, "create": SHOP, "dismount": MOUNTING.roles_for("dismount")}
    filterset_class = MountingFilter
    shows = MountingAnswer
    unknown = "mounting_unknown"
    queryset = Mounting.objects.select_related("trailer__unit", "cooling_unit__unit")

    def answer_of(self, row: Any) -> MountingAnswer:
        return MountingAnswer.of(
            row,
            trailer=row.trailer.unit,
            cooling_unit=row.cooling_unit.unit,
            started_at=row.span.lower,
            ended_at=row.span.upper,
            allowed_actions=MOUNTING.allowed_actions(mounting_state(row), self.caller_roles),
        )

    @takes(MountingBody)
    def create(self, request: ServiceRequest, body: MountingBody) -> Response:
        """Set a cooling unit on a trailer."""
        trailer, cooling_unit = units_in_body([body.trailer, body.cooling_unit], ["/trailer", "/cooling_unit"])
        mounting = mount(
            trailer_id=trailer.pk,
            cooling_unit_id=cooling_unit.pk,
            started_at=body.started_at,
            actor=request.person,
            now=request.now,
        )
        return self.created(self.get_queryset().get(pk=mounting.pk), f"{request.path}/{mounting.pk}")

    @takes(EndedAtBody)
    def dismount(self, request: ServiceRequest, body: EndedAtBody, key: UUID) -> Response:
        """Take a cooling unit off its trailer."""
        dismount(mounting_id=key, ended_at=body.ended_at, actor=request.person, now=request.now)
        return self.shown(self.get_queryset().get(pk=key))
