"""Meter readings from the desk, and replaced meters."""

import datetime as dt
from decimal import Decimal

import pytest

from common.errors import Conflict, Invalid
from fleet.enums import MeterKind, Role, UnitKind
from fleet.models import MeterReading, MeterReplacement, Person, Unit
from fleet.services.units.meters import record_reading, replace_meter
from tests.factories.fleet import HOUR, NOON, history_of, make_person, make_reading, make_unit
from tests.support.refusals import refused

pytestmark = pytest.mark.django_db
ODOMETER = MeterKind.ODOMETER_MI


@pytest.fixture
def desk() -> Person:
    return make_person("Hob Anselm", Role.FOREMAN)


def read(unit: Unit, desk: Person, shown: str, at: dt.datetime = NOON, meter: MeterKind = ODOMETER) -> MeterReading:
    return record_reading(unit_id=unit.pk, meter=meter, shown=Decimal(shown), read_at=at, actor=desk, now=NOON)


def replace(unit: Unit, desk: Person, last: str | None, first: str, at: dt.datetime = NOON) -> MeterReplacement:
    return replace_meter(
        unit_id=unit.pk,
        meter=ODOMETER,
        replaced_at=at,
        last_shown=None if last is None else Decimal(last),
        first_shown=Decimal(first),
        reason="display dead",
        actor=desk,
        now=NOON,
    )


def test_reading__enters_the_series_and_the_history(desk: Person) -> None:
    unit = make_unit()
    row = read(unit, desk, "1234.5")
    assert (row.shown, row.total, row.state) == (Decimal("1234.5"), Decimal("1234.5"), "accepted")
    assert history_of(unit) == ["unit_added", "meter_read"]


@pytest.mark.parametrize(
    ("shown", "at", "code", "pointer"),
    [
        ("999.9", NOON, "reading_falling", "/shown"),
        ("2100.1", NOON, "reading_implausible", "/shown"),
        ("-0.1", NOON, "reading_negative", "/shown"),
        ("1001.0", NOON + HOUR, "instant_in_future", "/read_at"),
    ],
)
def test_reading_that_cannot_be__is_refused_and_nothing_changed(
    desk: Person, shown: str, at: dt.datetime, code: str, pointer: str
) -> None:
    unit = make_unit()
    make_reading(unit, "1000.0", read_at=NOON - 24 * HOUR)
    with refused(Invalid, code, (pointer, code)):
        read(unit, desk, shown, at)
    assert unit.meter_readings.count() == 1
    assert history_of(unit) == ["unit_added", "meter_read"]


@pytest.mark.parametrize("shown", ["1000.0", "2100.0"])
def test_reading_at_its_limits__is_taken(desk: Person, shown: str) -> None:
    unit = make_unit()
    make_reading(unit, "1000.0", read_at=NOON - 24 * HOUR)
    assert read(unit, desk, shown).state == "accepted"


def test_late_reading__is_compared_with_the_one_after_it(desk: Person) -> None:
    unit = make_unit()
    make_reading(unit, "1000.0", read_at=NOON - HOUR)
    with refused(Invalid, "reading_falling", ("/shown", "reading_falling")):
        read(unit, desk, "1000.1", NOON - 24 * HOUR)


def test_meter_that_the_kind_has_not__is_refused(desk: Person) -> None:
    unit = make_unit(UnitKind.COOLING_UNIT)
    with refused(Invalid, "meter_not_on_unit", ("/meter", "meter_not_on_unit")):
        read(unit, desk, "10.0")


def test_retired_unit__is_refused(desk: Person) -> None:
    unit = make_unit()
    Unit.objects.filter(pk=unit.pk).update(retired_on=NOON.date())
    with refused(Conflict, "unit_retired"):
        read(unit, desk, "10.0")


class TestReplacement:
    def test_total__goes_on_over_a_meter_that_shows_200_000_less(self, desk: Person) -> None:
        unit = make_unit()
        make_reading(unit, "250000.0", read_at=NOON - 24 * HOUR)
        replacement = replace(unit, desk, "250100.0", "50100.0", NOON - 2 * HOUR)
        assert replacement.offset == Decimal("200000.0")
        row = read(unit, desk, "50130.0")
        assert (row.shown, row.total) == (Decimal("50130.0"), Decimal("250130.0"))
        assert history_of(unit) == ["unit_added", "meter_read", "meter_replaced", "meter_read"]

    def test_old_meter_that_could_not_be_read__counts_as_last_recorded(self, desk: Person) -> None:
        unit = make_unit()
        make_reading(unit, "250000.0", read_at=NOON - 24 * HOUR)
        assert replace(unit, desk, None, "0.0").offset == Decimal("250000.0")

    def test_second_replacement__adds_to_the_first(self, desk: Person) -> None:
        unit = make_unit()
        make_reading(unit, "1000.0", read_at=NOON - 24 * HOUR)
        replace(unit, desk, "1000.0", "0.0", NOON - 10 * HOUR)
        assert replace(unit, desk, "50.0", "0.0", NOON - HOUR).offset == Decimal("1050.0")

    def test_meter_read_after_it__is_refused(self, desk: Person) -> None:
        unit = make_unit()
        make_reading(unit, "1000.0", read_at=NOON - HOUR)
        with refused(Conflict, "meter_read_since"):
            replace(unit, desk, "900.0", "0.0", NOON - 2 * HOUR)

    def test_old_reading_that_falls__is_refused(self, desk: Person) -> None:
        unit = make_unit()
        make_reading(unit, "1000.0")
        with refused(Invalid, "reading_falling", ("/last_shown", "reading_falling")):
            replace(unit, desk, "999.0", "0.0")
        assert not unit.meter_replacements.exists()

    def test_meter_never_read__needs_the_old_reading(self, desk: Person) -> None:
        with refused(Invalid, "last_reading_missing", ("/last_shown", "last_reading_missing")):
            replace(make_unit(), desk, None, "0.0")
