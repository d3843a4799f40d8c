"""What stands on record, in the columns of the tables that can be taken in, so that it can be mended and sent back.

Current records only: units in service, people here, documents not replaced, readings not set aside.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from django.db.models import Case, CharField, DecimalField, F, Func, Q, QuerySet, Value, When
from django.db.models.expressions import Combinable
from django.db.models.functions import Concat, Round, Upper

from fleet.enums import ReadingSource, ReadingState, TemperatureScale
from fleet.models import Axle, CoolingReading, Document, MeterReading, Mounting, Person, PersonRole, Unit
from fleet.rules.cooling.temperatures import TEMPERATURES
from fleet.rules.documents.loading import load_document_kinds
from fleet.selectors.records.exports.tables import ROWS_AT_ONCE, unit_name

DETAIL_COLUMNS: Mapping[str, str] = {
    "steering_wheel_diameter_in": "tractor",
    "steering_assist": "tractor",
    "governor_cut_in_psi": "tractor",
    "governor_cut_out_psi": "tractor",
    "fuel_tank_gal": "tractor",
    "gross_rating_lb": "tractor",
    "fifth_wheel_to_rear_axle_in": "tractor",
    "length_ft": "trailer",
    "slider_pins": "trailer",
    "floor_drains": "trailer",
    "empty_weight_lb": "trailer",
    "kingpin_to_rear_axle_in": "trailer",
    "slider_hole_in": "trailer",
    "tank_gal": "cooling_unit",
    "unusable_gal": "cooling_unit",
    "burn_gal_per_h": "cooling_unit",
}
_WITHOUT_END = frozenset(name for name, kind in load_document_kinds().items() if kind.rule.name == "no_end")

Rows = Iterator[Sequence[object]]


def units_on_record(columns: Sequence[str], _today: date) -> Rows:
    """Yield the units in service, our own first, by number."""
    rows = Unit.objects.filter(retired_on__isnull=True).order_by("owner", Upper("number"))
    paths = {**{name: f"{path}__{name}" for name, path in DETAIL_COLUMNS.items()}, "home_site": "home_site__code"}
    return _rows(rows, [paths.get(name, name) for name in columns])


def axles_on_record(columns: Sequence[str], _today: date) -> Rows:
    """Yield the axles of units in service, from the front of each."""
    rows = Axle.objects.filter(unit__retired_on__isnull=True).annotate(unit_called=unit_name("unit"))
    ordered = rows.order_by("unit__owner", "unit__number", "number")
    return _rows(ordered, ["unit_called" if name == "unit" else name for name in columns])


def documents_on_record(columns: Sequence[str], _today: date) -> Rows:
    """Yield the documents that stand, by subject and kind."""
    current = Document.objects.filter(
        Q(unit__isnull=True) | Q(unit__retired_on__isnull=True),
        Q(person__isnull=True) | Q(person__left_on__isnull=True),
        superseded_at__isnull=True,
    )
    permanent = Case(When(Q(ends_on__isnull=True) & ~Q(kind__in=_WITHOUT_END), then=Value(value=True)))
    called = {"unit_called": unit_name("unit"), "person_called": _person_name("person"), "endless": permanent}
    rows = current.annotate(**called).order_by(
        "unit__owner", "unit__number", "person__username", "person__name", "person__firm", "kind", "us_state"
    )
    renamed = {"unit": "unit_called", "person": "person_called", "permanent": "endless"}
    return _rows(rows, [renamed.get(name, name) for name in columns])


def people_on_record(columns: Sequence[str], _today: date) -> Rows:
    """Yield the people here, by name."""
    rows = Person.objects.filter(left_on__isnull=True).order_by("name", "username", "firm")
    return _rows(rows, ["home_site__code" if name == "home_site" else name for name in columns])


def readings_on_record(columns: Sequence[str], _today: date) -> Rows:
    """Yield the readings that are in a series, by unit, meter and instant."""
    rows = MeterReading.objects.filter(state=ReadingState.ACCEPTED, unit__retired_on__isnull=True)
    named = rows.annotate(unit_called=unit_name("unit"))
    ordered = named.order_by("unit__owner", "unit__number", "meter", "read_at", "total")
    return _rows(ordered, ["unit_called" if name == "unit" else name for name in columns])


def cooling_readings_on_record(columns: Sequence[str], _today: date) -> Rows:
    """Yield the readings of recorders that are not set aside, each in its own scale, by unit and instant."""
    rows = CoolingReading.objects.filter(
        source=ReadingSource.RECORDER, state=ReadingState.ACCEPTED, unit__retired_on__isnull=True
    )
    called = {
        "unit_called": unit_name("unit"),
        "alarms_called": Func(F("alarms"), Value(" "), function="array_to_string", output_field=CharField()),
        **{f"{name}_given": _as_given(f"{name}_f") for name in TEMPERATURES},
    }
    renamed = {
        "unit": "unit_called",
        "unit_of_measure": "given_in",
        "alarms": "alarms_called",
        **{name: f"{name}_given" for name in TEMPERATURES},
    }
    ordered = rows.annotate(**called).order_by("unit__owner", "unit__number", "read_at", "pk")
    return _rows(ordered, [renamed.get(name, name) for name in columns])


def roles_on_record(columns: Sequence[str], today: date) -> Rows:
    """Yield the roles in force and to come, by person; a first day stands only in those to come."""
    rows = PersonRole.objects.filter(Q(ends_on__isnull=True) | Q(ends_on__gte=today), person__left_on__isnull=True)
    called = {"person_called": _person_name("person"), "to_come": Case(When(starts_on__gt=today, then=F("starts_on")))}
    ordered = rows.annotate(**called).order_by(
        "person__username", "person__name", "person__firm", "role", "site__code", "starts_on", "pk"
    )
    renamed = {"person": "person_called", "site": "site__code", "starts_on": "to_come"}
    return _rows(ordered, [renamed.get(name, name) for name in columns])


def mountings_on_record(columns: Sequence[str], _today: date) -> Rows:
    """Yield the mountings that stand, by trailer."""
    rows = Mounting.objects.filter(
        span__endswith__isnull=True, trailer__unit__retired_on__isnull=True, cooling_unit__unit__retired_on__isnull=True
    )
    called = {"trailer_called": unit_name("trailer__unit"), "cooling_unit_called": unit_name("cooling_unit__unit")}
    ordered = rows.annotate(**called).order_by("trailer__unit__owner", "trailer__unit__number", "pk")
    renamed = {"trailer": "trailer_called", "cooling_unit": "cooling_unit_called", "started_at": "span__startswith"}
    return _rows(ordered, [renamed.get(name, name) for name in columns])


ON_RECORD: Mapping[str, Callable[[Sequence[str], date], Rows]] = {
    "units": units_on_record,
    "axles": axles_on_record,
    "documents": documents_on_record,
    "people": people_on_record,
    "meter-readings": readings_on_record,
    "cooling-readings": cooling_readings_on_record,
    "roles": roles_on_record,
    "mountings": mountings_on_record,
}


def _person_name(path: str) -> Case:
    return Case(
        When(**{f"{path}__username__isnull": False}, then=F(f"{path}__username")),
        When(**{f"{path}__firm__gt": ""}, then=Concat(f"{path}__name", Value(" ("), f"{path}__firm", Value(")"))),
        default=F(f"{path}__name"),
        output_field=CharField(null=True),
    )


def _as_given(column: str) -> Combinable:
    """A temperature in tenths of the scale that it was read in."""
    celsius = When(given_in=TemperatureScale.CELSIUS, then=(F(column) - 32) * 5 / 9)
    return Round(Case(celsius, default=F(column), output_field=DecimalField()), precision=1)


def _rows(rows: QuerySet[Any], columns: list[str]) -> Rows:
    return iter(rows.values_list(*columns).iterator(ROWS_AT_ONCE))
