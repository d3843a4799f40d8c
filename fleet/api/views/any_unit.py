"""Units of every kind, in what they have in common; and the end of one."""

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.etags import expected_version
from common.api.permissions import ANY_ROLE
from fleet.api.base import ServiceViewSet
from fleet.api.filters import UnitFilter
from fleet.api.names import unit_in_path
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest
from fleet.api.serializers.units import AnyUnitOut, RetireBody
from fleet.models import Unit
from fleet.selectors.carrier.carrier import carriers_day
from fleet.services.units.units import retire_unit
from fleet.transitions import UNIT


class UnitViewSet(ServiceViewSet):
    """Tractors, trailers and cooling units in one list."""

    roles = {"list": ANY_ROLE, "retrieve": ANY_ROLE, "retire": UNIT.roles_for("retire")}
    if_match = frozenset({"retire"})
    filterset_class = UnitFilter
    ordering = ("number",)
    output = AnyUnitOut

    def get_queryset(self) -> QuerySet[Unit]:
        """Return all units."""
        return Unit.objects.select_related("home_site")

    @extend_schema(responses=AnyUnitOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Units in service, or retired ones when asked for."""
        return self.listed()

    @extend_schema(responses=AnyUnitOut)
    def retrieve(self, request: ServiceRequest, ref: str) -> Response:
        """One unit, by number, number@owner or key; a retired one by its key."""
        return self.shown(unit_in_path(ref, among=self.get_queryset()))

    @extend_schema(request=RetireBody, responses=AnyUnitOut)
    def retire(self, request: ServiceRequest, ref: str) -> Response:
        """Take a unit out of service for good; its history stays, its number is free."""
        body = parsed(RetireBody, request)
        unit = retire_unit(
            unit_id=unit_in_path(ref, among=self.get_queryset()).pk,
            version=expected_version(request),
            today=carriers_day(request.now),
            actor=request.person,
            now=request.now,
            **body.validated_data,
        )
        return self.shown(self.get_queryset().get(pk=unit.pk))
