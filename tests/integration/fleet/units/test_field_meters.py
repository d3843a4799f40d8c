"""Meter readings out of a walk-around: all kept, what contradicts the series set aside."""

import datetime as dt
from decimal import Decimal

import pytest
from pytest_django import DjangoAssertNumQueries

from common.ids import uuid7
from fleet.enums import MeterKind, Role, UnitKind
from fleet.models import MeterReading, Unit
from fleet.selectors.units.meters import meter_book
from fleet.services.units.field_meters import ShownMeter, judge_meters
from tests.factories.fleet import HOUR, NOON, make_person, make_reading, make_unit

pytestmark = pytest.mark.django_db
ODOMETER = MeterKind.ODOMETER_MI


def judge(*given: tuple[Unit, str, str], at: dt.datetime = NOON) -> list[tuple[MeterReading | None, str]]:
    return judge_meters(
        [ShownMeter(unit, meter, Decimal(shown)) for unit, meter, shown in given],
        meter_book({unit.pk for unit, _, _ in given}, at),
        read_at=at,
        walkaround_id=uuid7(),
        actor=make_person("Ada Brisk", Role.DRIVER),
        now=NOON,
    )


def outcome(judged: tuple[MeterReading | None, str]) -> tuple[str, str | None]:
    row, flag = judged
    return flag, None if row is None else row.state


@pytest.mark.parametrize(
    ("shown", "expected"),
    [
        ("1000.0", ("", "accepted")),
        ("999.9", ("falling", "set_aside")),
        ("9000.0", ("implausible", "set_aside")),
        ("-1.0", ("negative", None)),
    ],
)
def test_reading__is_taken_or_set_aside_with_its_reason(shown: str, expected: tuple[str, str | None]) -> None:
    unit = make_unit()
    make_reading(unit, "1000.0")
    (judged,) = judge((unit, ODOMETER, shown))
    assert outcome(judged) == expected


def test_meter_of_another_kind_and_a_second_reading__are_set_aside() -> None:
    cooling_unit, tractor = make_unit(UnitKind.COOLING_UNIT), make_unit()
    judged = judge((cooling_unit, ODOMETER, "5"), (tractor, ODOMETER, "10"), (tractor, ODOMETER, "11"))
    assert [flag for _, flag in judged] == ["meter_not_on_unit", "", "read_twice"]


@pytest.mark.parametrize("meter", ["", "tachometer"])
def test_meter_that_nobody_knows__is_flagged_and_has_no_row(meter: str) -> None:
    (judged,) = judge((make_unit(), meter, "5"))
    assert outcome(judged) == ("meter_not_on_unit", None)


def test_second_reading_below_zero__is_flagged_and_has_no_row() -> None:
    """No meter shows it, and the table does not take it: it stands on the report alone."""
    tractor = make_unit()
    judged = judge((tractor, ODOMETER, "10"), (tractor, ODOMETER, "-3"))
    assert [outcome(item) for item in judged] == [("", "accepted"), ("read_twice", None)]


def test_clock_ahead__is_set_aside() -> None:
    (judged,) = judge((make_unit(), ODOMETER, "10"), at=NOON + HOUR)
    assert outcome(judged) == ("future", "set_aside")


def test_set_aside_reading__enters_no_series() -> None:
    unit = make_unit()
    make_reading(unit, "1000.0")
    (judged,) = judge((unit, ODOMETER, "500.0"), at=NOON - HOUR)
    MeterReading.objects.bulk_create([judged[0]] if judged[0] else [])
    (after,) = judge((unit, ODOMETER, "1001.0"))
    assert outcome(after) == ("", "accepted")


@pytest.mark.parametrize("count", [1, 20])
def test_book__is_read_in_one_statement(count: int, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    units = [make_unit() for _ in range(count)]
    for unit in units:
        make_reading(unit, "1000.0")
        make_reading(unit, "1010.0", read_at=NOON - HOUR)
    with django_assert_num_queries(1):
        book = meter_book([unit.pk for unit in units], NOON - 2 * HOUR)
    assert [[row.total for row in book.series_of(unit.pk, ODOMETER)] for unit in units] == [
        [Decimal("1000.0"), Decimal("1010.0")]
    ] * count
