"""Everything that answers dispatch, read in one statement: one statement sees one snapshot of the database."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.contrib.postgres.expressions import ArraySubquery
from django.db.models import CharField, Count, Exists, F, Func, JSONField, Max, OuterRef, Q, QuerySet, UUIDField, Value
from django.db.models.functions import Cast, JSONObject

from defects.enums import DefectState, RiskState, WalkaroundKind
from defects.models import Defect, DriverReview, Hold, Load, LoadAtRisk, Measurement, Refusal, Report, SecondLook
from fleet.enums import ReadingState
from fleet.models import Axle, Carrier, CouplingMember, Document, MeterReading, Mounting, Person
from fleet.selectors.policies import newest_policies

WALKS_BEFORE_DRIVING = (WalkaroundKind.PRE_TRIP, WalkaroundKind.PICK_UP, WalkaroundKind.EN_ROUTE)
FUEL_LEVEL = "cooling.fuel.level"


class _Exact(json.JSONDecoder):
    """Numbers as the database has them: no binary floats."""

    def __init__(self, *_: Any, **__: Any) -> None:
        super().__init__(parse_float=Decimal)


@dataclass(frozen=True, slots=True)
class FactRow:
    """One fact about a unit (or about no unit): its kind and its columns. Instants and dates are ISO texts."""

    kind: str
    unit: UUID | None
    body: dict[str, Any]


@dataclass(frozen=True, slots=True)
class Asked:
    """Which driver (name at sign-in, or key) and load (number) a trip names; empty for none."""

    driver: str = ""
    load: str = ""

    @property
    def person(self) -> Q:
        """What finds the driver among people."""
        try:
            return Q(pk=UUID(self.driver))
        except ValueError:
            return Q(username__iexact=self.driver) & ~Q(username="")


def fact_rows(units: Iterable[UUID], *, as_of: datetime, asked: Asked) -> list[FactRow]:
    """The facts of the units, the driver, the load and the carrier, as of an instant, in one statement."""
    wanted = list(units)
    drivers = Person.objects.filter(asked.person).order_by()
    first, *others = (
        _holds(wanted),
        _defects(wanted),
        _documents(wanted, drivers),
        _reports_to_review(wanted),
        _refusals(wanted),
        _last_walks(wanted),
        _axles(wanted),
        _meters(wanted),
        _fuel(wanted),
        _loads_at_risk(wanted),
        _couplings(wanted, as_of),
        _mountings(wanted, as_of),
        _rows(drivers, "driver", "pk", name="name"),
        _load(asked.load),
        _policies(as_of),
    )
    return [FactRow(kind, unit, body) for kind, unit, body in first.union(*others, all=True)]


def _rows(query: QuerySet[Any], kind: str, unit: str, /, **columns: Any) -> QuerySet[Any, tuple[str, UUID | None, Any]]:
    body = Cast(JSONObject(**columns), JSONField(decoder=_Exact))
    return query.values_list(
        Value(kind, output_field=CharField()), Cast(F(unit), UUIDField()), body
    )


def _holds(units: list[UUID]) -> QuerySet[Any, tuple[str, UUID | None, Any]]:
    standing = Hold.objects.filter(unit_id__in=units, lifted_at__isnull=True).order_by()
    return _rows(
        standing, "hold", "unit_id", number="number", by="kind", since="placed_at", expected_at="defect__expected_at"
    )


def _defects(units: list[UUID]) -> QuerySet[Any, tuple[str, UUID | None, Any]]:
    standing = Defect.objects.filter(unit_id__in=units).exclude(
        state__in=(DefectState.CLOSED, DefectState.ENTERED_IN_ERROR)
    )
    return _rows(
        standing.order_by(),
        "defect",
        "unit_id",
        number="number",
        point="point",
        place="place",
        text="text",
        severity="severity",
        bars="bars",
        standing="standing",
        since="found_at",
        source="source",
        graded="graded",
        state="state",
        counts="counts_as_service_brake",
        steering="on_steering_axle",
        value="value",
        limit="limit_value",
        expected_at="expected_at",
        certificate="current_certificate__kind",
        certified_at="current_certificate__certified_at",
        limit_on="current_certificate__limit_on",
        limit_mi="current_certificate__limit_mi",
        limit_engine_h="current_certificate__limit_engine_h",
    )


def _documents(units: list[UUID], drivers: QuerySet[Person]) -> QuerySet[Any, tuple[str, UUID | None, Any]]:
    subject = Q(unit_id__in=units) | Q(unit__isnull=True, person__isnull=True)
    subject |= Q(person__in=drivers.values("pk"))
    held = Document.objects.filter(subject, replaced_at__isnull=True).order_by()
    return _rows(
        held,
        "document",
        "unit_id",
        kind="kind",
        person="person_id",
        state="state",
        starts_on="starts_on",
        issued_on="issued_on",
        ends_on="ends_on",
        ends_on_month="ends_on_month",
        program="program",
    )


def _reports_to_review(units: list[UUID]) -> QuerySet[Any, tuple[str, UUID | None, Any]]:
    reviewed = DriverReview.reports.through.objects.filter(report_id=OuterRef("pk"))
    owed = Report.objects.filter(~Exists(reviewed), unit_id__in=units, review_owed=True).order_by()
    return _rows(owed, "report", "unit_id", id="id", at="performed_at")


def _refusals(units: list[UUID]) -> QuerySet[Any, tuple[str, UUID | None, Any]]:
    looked = SecondLook.objects.filter(refusal_id=OuterRef("pk"))
    waiting = Refusal.objects.filter(~Exists(looked), unit_id__in=units).order_by()
    return _rows(waiting, "refusal", "unit_id", id="id", at="refused_at")


def _last_walks(units: list[UUID]) -> QuerySet[Any, tuple[str, UUID | None, Any]]:
    """The last walk of each unit that counts before driving, with only the checks that leave something unknown."""
    walked = (
        Report.objects.filter(unit_id__in=units, walkaround__kind__in=WALKS_BEFORE_DRIVING)
        .order_by("unit_id", "-performed_at", "-pk")
        .distinct("unit_id")
    )
    newest = Report.objects.filter(pk__in=walked.values("pk")).order_by()
    unknown = Func(
        F("checks"),
        Value('$[*] ? (@.answer == "not_reached" || @.verdict.outcome == "queried")'),
        function="jsonb_path_query_array",
        template="%(function)s(%(expressions)s::jsonpath)",
        output_field=JSONField(),
    )
    return _rows(newest, "walk", "unit_id", at="performed_at", by="walkaround__person_id", unknown=unknown)


def _axles(units: list[UUID]) -> QuerySet[Any, tuple[str, UUID | None, Any]]:
    counted = (
        Axle.objects.filter(unit_id__in=units)
        .values("unit_id")
        .annotate(axles=Count("pk"), without=Count("pk", filter=Q(brake_type="")))
        .order_by()
    )
    return _rows(counted, "axles", "unit_id", axles="axles", without="without")


def _meters(units: list[UUID]) -> QuerySet[Any, tuple[str, UUID | None, Any]]:
    newest = (
        MeterReading.objects.filter(unit_id__in=units, state=ReadingState.ACCEPTED)
        .order_by("unit_id", "meter", "-read_at", "-total")
        .distinct("unit_id", "meter")
    )
    return _rows(
        MeterReading.objects.filter(pk__in=newest.values("pk")).order_by(),
        "meter",
        "unit_id",
        meter="meter",
        total="total",
    )


def _fuel(units: list[UUID]) -> QuerySet[Any, tuple[str, UUID | None, Any]]:
    newest = (
        Measurement.objects.filter(unit_id__in=units, point=FUEL_LEVEL)
        .order_by("unit_id", "-measured_at", "-pk")
        .distinct("unit_id")
    )
    return _rows(
        Measurement.objects.filter(pk__in=newest.values("pk")).order_by(),
        "fuel",
        "unit_id",
        at="measured_at",
        value="value",
    )


def _loads_at_risk(units: list[UUID]) -> QuerySet[Any, tuple[str, UUID | None, Any]]:
    open_risks = LoadAtRisk.objects.filter(trailer_id__in=units, state=RiskState.OPEN).annotate(
        decided_at=Max("entries__at", filter=Q(entries__kind="decision"))
    )
    return _rows(open_risks.order_by(), "risk", "trailer_id", id="id", since="opened_at", decided_at="decided_at")


def _couplings(units: list[UUID], as_of: datetime) -> QuerySet[Any, tuple[str, UUID | None, Any]]:
    running = CouplingMember.objects.filter(unit_id__in=units, span__contains=as_of).order_by()
    return _rows(running, "coupling", "unit_id", coupling="coupling_id")


def _mountings(units: list[UUID], as_of: datetime) -> QuerySet[Any, tuple[str, UUID | None, Any]]:
    mounted = Mounting.objects.filter(cooling_unit_id__in=units, span__contains=as_of).order_by()
    return _rows(mounted, "mounting", "cooling_unit_id", trailer="trailer_id")


def _load(number: str) -> QuerySet[Any, tuple[str, UUID | None, Any]]:
    return _rows(
        Load.objects.filter(number=number).order_by(),
        "load",
        "pk",
        number="number",
        temperature_class="temperature_class",
        setpoint_f="setpoint_f",
        seal="seal",
        pre_loaded="pre_loaded",
        loaded_at="loaded_at",
        pre_load_checked_at="pre_load_checked_at",
        seal_checked_at="seal_checked_at",
        states="states",
    )


def _policies(as_of: datetime) -> QuerySet[Any, tuple[str, UUID | None, Any]]:
    """One row: the carrier's zone, and what it has decided so far."""
    decided = Func(
        ArraySubquery(newest_policies(as_of)), function="to_jsonb", output_field=JSONField()
    )
    return _rows(Carrier.objects.order_by(), "carrier", "pk", zone="time_zone", decided=decided)
