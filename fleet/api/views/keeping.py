"""What freezes a unit's file, and what was deleted after its days of keeping."""

from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from fleet.api.base import ServiceViewSet
from fleet.api.filters import DeletionFilter, LegalHoldFilter
from fleet.api.names import unit_in_body
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest
from fleet.api.roles import OFFICE, READERS_OF_KEEPING
from fleet.api.serializers.keeping import DeletionOut, LegalHoldBody, LegalHoldLiftBody, LegalHoldOut
from fleet.models import Deletion, LegalHold
from fleet.services.records.legal_holds import lift_legal_hold, place_legal_hold
from fleet.transitions import LEGAL_HOLD, roles_for


class LegalHoldViewSet(ServiceViewSet):
    """Frozen files of units, newest first."""

    roles = {
        "list": READERS_OF_KEEPING,
        "retrieve": READERS_OF_KEEPING,
        "create": OFFICE,
        "lift": roles_for(LEGAL_HOLD, "lift"),
    }
    filterset_class = LegalHoldFilter
    ordering = ("-placed_at",)
    output = LegalHoldOut

    def get_queryset(self) -> QuerySet[LegalHold]:
        """Return all of them with their units and people."""
        return LegalHold.objects.select_related("unit", "placed_by", "lifted_by")

    @extend_schema(responses=LegalHoldOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Whose file is frozen or was, newest first."""
        return self.listed()

    @extend_schema(responses=LegalHoldOut)
    def retrieve(self, request: ServiceRequest, key: UUID) -> Response:
        """One legal hold."""
        return self.shown(self.row(self.get_queryset(), "legal_hold_unknown", pk=key))

    @extend_schema(request=LegalHoldBody, responses={201: LegalHoldOut})
    def create(self, request: ServiceRequest) -> Response:
        """Freeze a unit's file for a crash, a claim or a complaint: nothing of it is deleted until it is lifted."""
        body = parsed(LegalHoldBody, request).validated_data
        unit = unit_in_body(body.pop("unit"), "/unit")
        hold = place_legal_hold(unit_id=unit.pk, actor=request.person, now=request.now, **body)
        return self.created(self.get_queryset().get(pk=hold.pk), f"{request.path}/{hold.pk}")

    @extend_schema(request=LegalHoldLiftBody, responses=LegalHoldOut)
    def lift(self, request: ServiceRequest, key: UUID) -> Response:
        """Let the file go its way again, with the reason."""
        body = parsed(LegalHoldLiftBody, request).validated_data
        lift_legal_hold(hold_id=key, actor=request.person, now=request.now, **body)
        return self.shown(self.get_queryset().get(pk=key))


class DeletionViewSet(ServiceViewSet):
    """Deletion records, newest first."""

    roles = {"list": READERS_OF_KEEPING}
    filterset_class = DeletionFilter
    ordering = ("-deleted_at",)
    output = DeletionOut

    def get_queryset(self) -> QuerySet[Deletion]:
        """Return all of them with their units."""
        return Deletion.objects.select_related("unit")

    @extend_schema(responses=DeletionOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """What was deleted after its days of keeping, by which rule, and the hash that stays."""
        return self.listed()
