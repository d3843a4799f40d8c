"""Combinations and mountings: recording, reading, ending."""

from uuid import UUID

from django.db.models import Prefetch, QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.permissions import ANY_ROLE
from fleet.api.base import ServiceViewSet
from fleet.api.filters import CouplingFilter, MountingFilter
from fleet.api.names import units_in_body
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest
from fleet.api.roles import COUPLERS, SHOP
from fleet.api.serializers.couplings import CouplingBody, CouplingOut, EndedAtBody, MountingBody, MountingOut
from fleet.models import Coupling, CouplingMember, Mounting
from fleet.services.units.couplings import record_coupling, uncouple
from fleet.services.units.mountings import dismount, mount
from fleet.transitions import COUPLING, MOUNTING


class CouplingViewSet(ServiceViewSet):
    """Which units run together, newest first."""

    roles = {
        "list": ANY_ROLE,
        "retrieve": ANY_ROLE,
        "create": COUPLERS,
        "uncouple": COUPLING.roles_for("uncouple"),
    }
    filterset_class = CouplingFilter
    ordering = ("-started_at",)
    output = CouplingOut

    def get_queryset(self) -> QuerySet[Coupling]:
        """Return all combinations with their units."""
        members = CouplingMember.objects.select_related("unit").order_by("pk")
        return Coupling.objects.prefetch_related(Prefetch("members", members))

    @extend_schema(responses=CouplingOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Combinations, newest first."""
        return self.listed()

    @extend_schema(responses=CouplingOut)
    def retrieve(self, request: ServiceRequest, key: UUID) -> Response:
        """One combination."""
        return self.shown(self.row(self.get_queryset(), "coupling_unknown", pk=key))

    @extend_schema(request=CouplingBody, responses={201: CouplingOut})
    def create(self, request: ServiceRequest) -> Response:
        """Couple units. A driver takes over what was recorded before; a desk is refused by it."""
        body = parsed(CouplingBody, request).validated_data
        units = units_in_body(body["units"], [f"/units/{index}" for index in range(len(body["units"]))])
        coupling = record_coupling(units=units, started_at=body["started_at"], actor=request.person, now=request.now)
        return self.created(self.get_queryset().get(pk=coupling.pk), f"{request.path}/{coupling.pk}")

    @extend_schema(request=EndedAtBody, responses=CouplingOut)
    def uncouple(self, request: ServiceRequest, key: UUID) -> Response:
        """End a combination."""
        body = parsed(EndedAtBody, request).validated_data
        uncouple(coupling_id=key, actor=request.person, now=request.now, **body)
        return self.shown(self.get_queryset().get(pk=key))


class MountingViewSet(ServiceViewSet):
    """Which cooling unit sits on which trailer."""

    roles = {
        "list": ANY_ROLE,
        "retrieve": ANY_ROLE,
        "create": SHOP,
        "dismount": MOUNTING.roles_for("dismount"),
    }
    filterset_class = MountingFilter
    output = MountingOut

    def get_queryset(self) -> QuerySet[Mounting]:
        """Return all mountings with their units."""
        return Mounting.objects.select_related("trailer__unit", "cooling_unit__unit")

    @extend_schema(responses=MountingOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Mountings, in the order they were recorded."""
        return self.listed()

    @extend_schema(responses=MountingOut)
    def retrieve(self, request: ServiceRequest, key: UUID) -> Response:
        """One mounting."""
        return self.shown(self.row(self.get_queryset(), "mounting_unknown", pk=key))

    @extend_schema(request=MountingBody, responses={201: MountingOut})
    def create(self, request: ServiceRequest) -> Response:
        """Set a cooling unit on a trailer."""
        body = parsed(MountingBody, request).validated_data
        trailer, cooling_unit = units_in_body([body["trailer"], body["cooling_unit"]], ["/trailer", "/cooling_unit"])
        mounting = mount(
            trailer_id=trailer.pk,
            cooling_unit_id=cooling_unit.pk,
            started_at=body["started_at"],
            actor=request.person,
            now=request.now,
        )
        return self.created(self.get_queryset().get(pk=mounting.pk), f"{request.path}/{mounting.pk}")

    @extend_schema(request=EndedAtBody, responses=MountingOut)
    def dismount(self, request: ServiceRequest, key: UUID) -> Response:
        """Take a cooling unit off its trailer."""
        body = parsed(EndedAtBody, request).validated_data
        dismount(mounting_id=key, actor=request.person, now=request.now, **body)
        return self.shown(self.get_queryset().get(pk=key))
