"""Meter readings and replaced meters."""

from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.permissions import ANY_ROLE
from fleet.api.base import ServiceViewSet
from fleet.api.filters import ReadingFilter, ReplacementFilter
from fleet.api.names import unit_in_body
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest
from fleet.api.roles import METER_READERS, SHOP
from fleet.api.serializers.meters import ReadingBody, ReadingOut, ReplacementBody, ReplacementOut
from fleet.enums import Role
from fleet.models import MeterReading, MeterReplacement
from fleet.services.units.meters import record_reading, replace_meter


class MeterReadingViewSet(ServiceViewSet):
    """Readings of odometers and hour meters, newest first."""

    roles = {"list": ANY_ROLE, "retrieve": ANY_ROLE, "create": METER_READERS}
    filterset_class = ReadingFilter
    ordering = ("-read_at",)
    output = ReadingOut

    def get_queryset(self) -> QuerySet[MeterReading]:
        """Return all readings with their units."""
        return MeterReading.objects.select_related("unit", "recorded_by")

    @extend_schema(responses=ReadingOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Readings, newest first, those that were set aside among them."""
        return self.listed()

    @extend_schema(responses=ReadingOut)
    def retrieve(self, request: ServiceRequest, key: UUID) -> Response:
        """One reading."""
        return self.shown(self.row(self.get_queryset(), "reading_unknown", pk=key))

    @extend_schema(request=ReadingBody, responses={201: ReadingOut})
    def create(self, request: ServiceRequest) -> Response:
        """Record one reading; one that contradicts the series is refused."""
        body = parsed(ReadingBody, request).validated_data
        unit = unit_in_body(body.pop("unit"), "/unit")
        reading = record_reading(unit_id=unit.pk, actor=request.person, now=request.now, **body)
        return self.created(reading, f"{request.path}/{reading.pk}")


class MeterReplacementViewSet(ServiceViewSet):
    """Meters that were replaced."""

    roles = {"list": ANY_ROLE, "create": SHOP | {Role.COMPLIANCE}}
    filterset_class = ReplacementFilter
    ordering = ("-replaced_at",)
    output = ReplacementOut

    def get_queryset(self) -> QuerySet[MeterReplacement]:
        """Return all replaced meters with their units."""
        return MeterReplacement.objects.select_related("unit", "recorded_by")

    @extend_schema(responses=ReplacementOut(many=True))
    def list(self, request: ServiceRequest) -> Response:
        """Replaced meters, newest first."""
        return self.listed()

    @extend_schema(request=ReplacementBody, responses={201: ReplacementOut})
    def create(self, request: ServiceRequest) -> Response:
        """Record that a meter was replaced, so that the true total goes on."""
        body = {"last_shown": None, **parsed(ReplacementBody, request).validated_data}
        unit = unit_in_body(body.pop("unit"), "/unit")
        replacement = replace_meter(unit_id=unit.pk, actor=request.person, now=request.now, **body)
        return self.shown(replacement, 201)
