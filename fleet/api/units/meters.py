"""Meter readings and replaced meters over HTTP: miles or hours, as decimals in texts."""

from datetime import datetime
from decimal import Decimal
from typing import Annotated, Any
from uuid import UUID

from django_filters import rest_framework as filters
from rest_framework.response import Response

from common.api.answers import Answer, InUtc
from common.api.bodies import Body
from common.api.filter_kinds import within
from common.api.filters import StrictFilterSet
from common.api.permissions import ANY_ROLE
from common.api.values import DecimalText, Instant, Text, Word
from common.api.views import takes
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.filters import UnitRefFilter
from fleet.api.requests.references import unit_in_body
from fleet.api.requests.roles import METER_READERS, SHOP
from fleet.api.requests.views import ListMixin, ReadMixin
from fleet.api.units.short import UnitRef, UnitShort
from fleet.enums import MeterKind, ReadingState, Role
from fleet.models import MeterReading, MeterReplacement
from fleet.models.base import choices
from fleet.services.units.meters import record_reading, replace_meter


class ReadingBody(Body):
    """What a meter showed, and when."""

    unit: UnitRef
    meter: MeterKind
    shown: Annotated[Decimal, DecimalText(12, 1)]
    read_at: Instant


class ReplacementBody(Body):
    """A meter was changed; `last_shown` is left out when the old one could not be read any more."""

    unit: UnitRef
    meter: MeterKind
    replaced_at: Instant
    last_shown: Annotated[Decimal, DecimalText(12, 1, least=0)] | None = None
    first_shown: Annotated[Decimal, DecimalText(12, 1, least=0)]
    reason: Annotated[str, Text(1000, multiline=True)]


class ReadingAnswer(Answer):
    """One reading; `total` counts replaced meters in. One that was set aside has its `flag` and enters no series."""

    id: UUID
    unit: UnitShort
    meter: Annotated[str, Word(MeterKind)]
    shown: Decimal
    total: Decimal
    read_at: InUtc
    state: Annotated[str, Word(ReadingState)]
    flag: str
    walkaround: UUID | None
    recorded_at: datetime
    recorded_by: PersonShort


class ReplacementAnswer(Answer):
    """A replaced meter: from then on, total = shown + offset."""

    id: UUID
    unit: UnitShort
    meter: Annotated[str, Word(MeterKind)]
    offset: Decimal
    replaced_at: InUtc
    reason: str
    recorded_at: datetime
    recorded_by: PersonShort


class ReadingFilter(StrictFilterSet):
    """Meter readings."""

    unit = UnitRefFilter("unit")
    meter = filters.ChoiceFilter(choices=choices(MeterKind))
    state = filters.ChoiceFilter(choices=choices(ReadingState))
    since, until = within("read_at")


class ReplacementFilter(StrictFilterSet):
    unit = UnitRefFilter("unit")
    meter = filters.ChoiceFilter(choices=choices(MeterKind))
    since, until = within("replaced_at")


class MeterReadingViewSet(ListMixin, ReadMixin):
    """Readings of odometers and hour meters, newest first, those that were set aside among them."""

    roles = {"list": ANY_ROLE, "retrieve": ANY_ROLE, "create": METER_READERS}
    filterset_class = ReadingFilter
    ordering = ("-read_at",)
    shows = ReadingAnswer
    unknown = "reading_unknown"
    queryset = MeterReading.objects.select_related("unit", "recorded_by")

    def answer_of(self, row: Any) -> ReadingAnswer:
        return ReadingAnswer.of(row, walkaround=row.walkaround_id)

    @takes(ReadingBody)
    def create(self, request: ServiceRequest, body: ReadingBody) -> Response:
        """Record one reading; one that contradicts the series is refused."""
        reading = record_reading(
            unit_id=unit_in_body(body.unit, "/unit").pk,
            meter=body.meter,
            shown=body.shown,
            read_at=body.read_at,
            actor=request.person,
            now=request.now,
        )
        return self.created(reading, f"{request.path}/{reading.pk}")


class MeterReplacementViewSet(ListMixin):
    """Meters that were replaced, newest first."""

    roles = {"list": ANY_ROLE, "create": SHOP | {Role.COMPLIANCE}}
    filterset_class = ReplacementFilter
    ordering = ("-replaced_at",)
    shows = ReplacementAnswer
    tag = "meter-replacements"
    queryset = MeterReplacement.objects.select_related("unit", "recorded_by")

    @takes(ReplacementBody)
    def create(self, request: ServiceRequest, body: ReplacementBody) -> Response:
        """Record that a meter was replaced, so that the true total goes on."""
        replacement = replace_meter(
            unit_id=unit_in_body(body.unit, "/unit").pk,
            meter=body.meter,
            replaced_at=body.replaced_at,
            last_shown=body.last_shown,
            first_shown=body.first_shown,
            reason=body.reason,
            actor=request.person,
            now=request.now,
        )
        return self.shown(replacement, 201)
