"""Readings of one cooling unit, and what is expected of it, over HTTP."""

from datetime import datetime
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated, Any
from uuid import UUID

from django.db.models import QuerySet
from django.utils.translation import get_language
from django_filters import rest_framework as filters
from pydantic import Field
from rest_framework.response import Response

from common import messages
from common.api.answers import Answer, InUtc
from common.api.filter_kinds import within
from common.api.filters import StrictFilterSet
from common.api.permissions import ANY_ROLE
from common.api.values import Word
from common.api.views import gives, takes
from common.errors import or_not_found
from common.messages import of_stored
from fleet.api.cooling.bodies import CoolingReadingsBody
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.references import unit_in_path
from fleet.api.requests.roles import METER_READERS
from fleet.api.requests.views import ServiceView, ServiceViewSet
from fleet.api.units.short import UnitShort
from fleet.enums import ReadingFlag, ReadingSource, ReadingState, RunningMode, TemperatureScale, UnitKind
from fleet.models import CoolingForecast, CoolingReading, Unit
from fleet.models.base import choices
from fleet.selectors.cooling.forecasts import burn_of_forecast
from fleet.services.cooling.intake import Taken, record_cooling_readings


class CoolingReadingAnswer(Answer):
    """One reading. Temperatures in °F, exact also where they were read in tenths of a °C (`given_in`).

    One set aside has its `flag` and teaches nothing.
    """

    id: UUID
    unit: UnitShort
    read_at: InUtc
    source: Annotated[str, Word(ReadingSource)]
    given_in: Annotated[str, Word(TemperatureScale)]
    mode: Annotated[str, Word(RunningMode, empty=True)]
    defrost: bool
    setpoint_f: Decimal | None
    return_air_f: Decimal | None
    supply_air_f: Decimal | None
    box_f: Decimal | None
    product_f: Decimal | None
    ambient_f: Decimal | None
    engine_h: Decimal | None
    standby_h: Decimal | None
    fuel_gal: Decimal | None
    fuel_added_gal: Decimal | None
    alarms: list[str]
    state: Annotated[str, Word(ReadingState)]
    flag: Annotated[str, Word(ReadingFlag, empty=True)]
    flag_says: str = Field(description="what is odd about it, in words")
    walkaround: UUID | None
    recorded_at: datetime
    recorded_by: PersonShort


class CoolingReadingsTaken(Answer):
    """What became of readings: how many are new and flagged, and which, by position, are known or differ.

    One that differs is not taken: what is on record for that time and source stays.
    """

    taken: int
    flagged: int
    on_record: list[int]
    differing: list[int]

    @classmethod
    def of_taken(cls, taken: Taken) -> "CoolingReadingsTaken":
        flagged = sum(bool(row.flag) for row in taken.rows)
        return cls(taken=len(taken.rows), flagged=flagged, on_record=taken.on_record, differing=taken.differing)


class Learned(Answer):
    """A figure learned from readings, or that there are not enough of them for it."""

    readings: int = Field(description="Stretches, pull-downs, warm-ups or readings that it was learned from.")
    not_enough_readings: bool


class BurnAnswer(Learned):
    """Gallons an engine hour, and the most that a day burns by the upper 95 % prediction bound."""

    gal_per_h: Decimal | None
    most_in_a_day_gal: Decimal | None


class FuelLostAnswer(Answer):
    """Gallons gone beyond what the hours between two readings explain at most (95 %, and 2 gallons of the gauge).

    Nothing says how they went.
    """

    gallons: Decimal
    gone_gal: Decimal | None = Field(description="gone in all; null where a release before learned of it")
    engine_h: Decimal | None
    since: datetime
    until: datetime


class PullDownAnswer(Learned):
    """How the air comes down: to the floor, the rest of the way shrinking by e in each `tau_h` hours."""

    floor_f: Decimal | None
    tau_h: Decimal | None


class LeakageAnswer(Learned):
    """Hours in which the box, engine off, comes nearer to the outside by e; a falling index is wet foam or a seal."""

    tau_h: Decimal | None
    change_in_30_days_h: Decimal | None


class AirDropAnswer(Learned):
    """Return less supply in full cooling, and the least to be expected of one further reading (95 %)."""

    mean_f: Decimal | None
    least_f: Decimal | None


class CoolingForecastAnswer(Answer):
    """What readings up to `newest_at` say of a cooling unit, and what is learned from those of half a year."""

    unit: UnitShort
    readings: int
    newest_at: datetime | None
    air_f: Decimal | None
    air_at: datetime | None
    fuel_gal: Decimal | None
    fuel_at: datetime | None
    burn: BurnAnswer
    fuel_lost: FuelLostAnswer | None
    pull_down: PullDownAnswer
    leakage: LeakageAnswer
    air_drop: AirDropAnswer
    being_worked_out: bool = Field(description="Newer readings are on record that none of this counts yet.")
    computed_at: datetime

    @classmethod
    def of_forecast(cls, row: CoolingForecast, *, being_worked_out: bool) -> "CoolingForecastAnswer":
        burn = burn_of_forecast(row)
        lost = {
            "gallons": row.lost_gal,
            "gone_gal": row.lost_gone_gal,
            "engine_h": row.lost_engine_h,
            "since": row.lost_since,
            "until": row.lost_until,
        }
        return cls.of(
            row,
            burn=_learned(
                row.burn_stretches,
                gal_per_h=row.burn_gal_per_h,
                most_in_a_day_gal=None if burn is None else Decimal(burn.most(24)).quantize(Decimal("0.1")),
            ),
            fuel_lost=None if row.lost_gal is None else lost,
            pull_down=_learned(row.pull_downs, floor_f=row.pull_down_floor_f, tau_h=row.pull_down_tau_h),
            leakage=_learned(row.warm_ups, tau_h=row.leakage_h, change_in_30_days_h=row.leakage_per_month_h),
            air_drop=_learned(row.air_drops, mean_f=row.air_drop_f, least_f=row.air_drop_least_f),
            being_worked_out=being_worked_out,
        )


def _learned(count: int, **figures: Decimal | None) -> dict[str, object]:
    return {"readings": count, "not_enough_readings": not count, **figures}


class CoolingReadingFilter(StrictFilterSet):
    """Readings of a cooling unit."""

    source = filters.ChoiceFilter(choices=choices(ReadingSource))
    state = filters.ChoiceFilter(choices=choices(ReadingState))
    since, until = within("read_at")


class CoolingReadingViewSet(ServiceViewSet):
    """Readings of one cooling unit, newest first, those that were set aside among them."""

    roles = {"list": ANY_ROLE, "create": METER_READERS}
    filterset_class = CoolingReadingFilter
    ordering = ("-read_at",)
    shows = CoolingReadingAnswer
    tag = "cooling-readings"

    def get_queryset(self) -> QuerySet[CoolingReading]:
        readings = CoolingReading.objects.select_related("unit", "recorded_by")
        return readings.none() if self.being_described else readings.filter(unit=_cooling_unit(self.kwargs["ref"]))

    def answer_of(self, row: Any) -> CoolingReadingAnswer:
        said = of_stored("cooling_flag", row.flag) if row.flag else None
        says = "" if said is None else messages.render(said, get_language() or "en")
        return CoolingReadingAnswer.of(row, walkaround=row.walkaround_id, flag_says=says)

    def list(self, _request: ServiceRequest, ref: str) -> Response:
        """Return a page of them."""
        return self.listed()

    @takes(CoolingReadingsBody)
    @gives(CoolingReadingsTaken)
    def create(self, request: ServiceRequest, body: CoolingReadingsBody, ref: str) -> Response:
        """Take up to a thousand readings, in any order and as often as they come; each is kept once."""
        taken = record_cooling_readings(
            unit_id=_cooling_unit(ref).pk,
            given=body.figures,
            source=ReadingSource(body.source),
            actor=request.person,
            now=request.now,
        )
        return Response(CoolingReadingsTaken.of_taken(taken), status=HTTPStatus.CREATED)


class CoolingForecastView(ServiceView):
    """What is known and expected of one cooling unit."""

    roles = {"get": ANY_ROLE}
    tag = "cooling-readings"

    @gives(CoolingForecastAnswer)
    def get(self, _request: ServiceRequest, ref: str) -> Response:
        """Return the forecast; 404 before readings of the unit have been learned from."""
        unit = _cooling_unit(ref)
        arrived = CoolingReading.objects.filter(unit=unit, is_learned=False).exists()
        row = CoolingForecast.objects.select_related("unit").filter(unit=unit).first()
        found = or_not_found(row, "forecast_being_worked_out" if arrived else "forecast_unknown")
        return Response(CoolingForecastAnswer.of_forecast(found, being_worked_out=arrived))


def _cooling_unit(ref: str) -> Unit:
    return unit_in_path(ref, among=Unit.objects.filter(kind=UnitKind.COOLING_UNIT))
