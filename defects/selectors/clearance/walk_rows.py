"""What is known of units from walks and meters, as rows of facts: the newest of each, found one unit at a time."""

from datetime import timedelta
from typing import Any

from django.db.models import (
    Case,
    Count,
    DateTimeField,
    Exists,
    ExpressionWrapper,
    F,
    Func,
    IntegerField,
    JSONField,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)
from django.db.models.expressions import Combinable
from django.db.models.functions import Cast, Coalesce

from common.compiled import KeyIn, Parameter
from defects.enums import DefectState, Form, WalkaroundKind
from defects.models import Defect, Report
from defects.rules.walkarounds.due import INTERVAL
from defects.selectors.clearance.fact_row import Rows, as_rows
from fleet.enums import ReadingState, UnitKind
from fleet.models import Axle, CoolingForecast, CoolingReading, MeterReading, Policy, Unit
from fleet.rules.carrier.policies import POLICIES

CLEARANCE_REQUEST = (WalkaroundKind.PRE_TRIP, WalkaroundKind.PICK_UP)
"""The walks after which a unit is driven, and which ask for an answer."""

ANSWERING = (*CLEARANCE_REQUEST, WalkaroundKind.EN_ROUTE)
"""A walk en route adds answers and takes the place of none."""

FORECAST = (
    *("newest_at", "fuel_gal", "fuel_at", "air_f", "air_at"),
    *("burn_gal_per_h", "burn_spread", "burn_h", "burn_stretches", "pull_down_floor_f", "pull_down_tau_h"),
    *("lost_gal", "lost_gone_gal", "lost_engine_h", "lost_since", "lost_until"),
)
"""The columns of a forecast that clearance asks for."""
WALK_VALID_HOURS = "walk_valid_hours"

KNOWN = '$[*] ? (@.answer != "not_reached" && @.verdict.outcome != "flagged")'
"""Checks that answer their place (SQL/JSON path)."""


def newest_walks(units: Parameter) -> Rows:
    """The last walk of each unit that asks; none where that was set aside: an older one does not take its place."""
    newest = Report.objects.filter(pk__in=_newest_walk(units), set_aside__isnull=True).order_by()
    return as_rows(
        newest, "walk", "unit_id", at="performed_at", by="walkaround__person_id", team_mate="walkaround__team_mate_id"
    )


def recent_looks(units: Parameter, as_of: Parameter) -> Rows:
    """What the walks that are not too long ago left without an answer, and by what each may answer it for another.

    `known` are a walk's checks, read only where another of those walks of the unit left something.
    """
    since = _counted_since(as_of)
    others = _answering().filter(
        ~Q(pk=OuterRef("pk")), ~Q(left_open=[]), unit_id=OuterRef("unit_id"), performed_at__gte=since
    )
    known = Case(
        When(Exists(others), then=checks_matching(KNOWN)), default=Value([], JSONField()), output_field=JSONField()
    )
    recent = _answering().filter(KeyIn("unit_id", units), performed_at__gte=since).order_by()
    return as_rows(
        recent,
        "look",
        "unit_id",
        walk="walkaround_id",
        at="performed_at",
        by="walkaround__person_id",
        team_mate="walkaround__team_mate_id",
        kind="walkaround__kind",
        conditions="walkaround__conditions",
        catalogue="walkaround__catalogue_id",
        looked_at="looked_at",
        left="left_open",
        known=known,
    )


def full_walks(units: Parameter, as_of: Parameter) -> Rows:
    """Each unit's last walk by the full form that answered all that is asked every time and is not yet due again."""
    lately = Report.objects.filter(
        ~Q(left_open__contains=[{"required": True}]),
        unit_id=OuterRef("pk"),
        performed_at__gt=ExpressionWrapper(as_of - Value(INTERVAL), DateTimeField()),
        walkaround__conditions__form=Form.FULL,
        set_aside__isnull=True,
    ).order_by("-performed_at", "-pk")
    of_units = Unit.objects.filter(KeyIn("pk", units)).order_by()
    return as_rows(of_units, "full_walk", "pk", at=Subquery(lately.values("performed_at")[:1]))


def axles(units: Parameter) -> Rows:
    """How many axles each unit has, and how many of them without a word about their brakes."""
    counted = (
        Axle.objects.filter(KeyIn("unit_id", units))
        .values("unit_id")
        .annotate(axles=Count("pk"), without=Count("pk", filter=Q(brake_type="")))
        .order_by()
    )
    return as_rows(counted, "axles", "unit_id", axles="axles", without="without")


def meters(units: Parameter) -> Rows:
    """The newest true total of each meter of the units whose repairs are put off by a meter."""
    by_meter = Q(current_certificate__limit_mi__isnull=False) | Q(current_certificate__limit_engine_h__isnull=False)
    put_off = Defect.objects.filter(by_meter, KeyIn("unit_id", units), state=DefectState.DEFERRED)
    newest = (
        MeterReading.objects.filter(unit_id__in=put_off.order_by().values("unit_id"), state=ReadingState.ACCEPTED)
        .order_by("unit_id", "meter", "-read_at", "-total")
        .distinct("unit_id", "meter")
    )
    return as_rows(
        MeterReading.objects.filter(pk__in=newest.values("pk")).order_by(),
        "meter",
        "unit_id",
        meter="meter",
        total="total",
    )


def cooling(units: Parameter) -> tuple[Rows, Rows, Rows]:
    """What is learned of each cooling unit and what was read when; then the newest fuel and air that are read since."""
    forecasts = CoolingForecast.objects.filter(KeyIn("unit_id", units)).order_by()
    since = CoolingReading.objects.filter(KeyIn("unit_id", units), is_learned=False)
    air = Coalesce("box_f", "return_air_f")
    return (
        as_rows(forecasts, "cooling", "unit_id", **{name: name for name in FORECAST}),
        as_rows(
            _newest(since.filter(fuel_gal__isnull=False)), "fuel", "unit_id", fuel_at="read_at", fuel_gal="fuel_gal"
        ),
        as_rows(_newest(since.alias(air=air).filter(air__isnull=False)), "air", "unit_id", air_at="read_at", air_f=air),
    )


def _newest(readings: QuerySet[CoolingReading]) -> QuerySet[CoolingReading]:
    """The newest reading of each unit."""
    newest = readings.order_by("unit_id", "-read_at", "-pk").distinct("unit_id")
    return CoolingReading.objects.filter(pk__in=newest.values("pk")).order_by()


def _answering() -> QuerySet[Report]:
    return Report.objects.filter(walkaround__kind__in=ANSWERING, set_aside__isnull=True)


def _newest_walk(units: Parameter) -> QuerySet[Unit, Any]:
    """The key of each unit's newest walk, one look into the index for each unit; of one instant, the last received.

    A pick-up asks of a tractor only where it meets the trailer, so it is no walk of the tractor (392.7(a)).
    """
    whole = Q(walkaround__kind=WalkaroundKind.PRE_TRIP) | ~Q(unit__kind=UnitKind.TRACTOR)
    of_unit = Report.objects.filter(whole, walkaround__kind__in=CLEARANCE_REQUEST, unit_id=OuterRef("pk")).order_by(
        "-performed_at", "-pk"
    )
    return Unit.objects.filter(KeyIn("pk", units)).order_by().values(newest=Subquery(of_unit.values("pk")[:1]))


def _counted_since(as_of: Parameter) -> Combinable:
    """The instant before which a walk is too long ago, by the policy in force."""
    decided = (
        Policy.objects.filter(key=WALK_VALID_HOURS, valid_from__lte=as_of)
        .order_by("-valid_from")
        .annotate(hours=Cast("value", IntegerField()))
    )
    hours = Coalesce(Subquery(decided.values("hours")[:1]), Value(POLICIES[WALK_VALID_HOURS].default))
    return ExpressionWrapper(as_of - hours * Value(timedelta(hours=1)), DateTimeField())


def checks_matching(path: str) -> Func:
    return Func(
        F("checks"),
        Value(path),
        function="jsonb_path_query_array",
        template="%(function)s(%(expressions)s::jsonpath)",
        output_field=JSONField(),
    )
