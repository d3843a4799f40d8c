"""How many statements a walk-around costs, from token to answer: few, and the same however much it brings."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.observed import AxleFacts, UnitFacts
from defects.rules.catalogue.places import places_for
from tests.support.acting import Device, acting_as
from tests.support.walks import UNITS, body, check, put, stroke

BUDGET = 31
TAKING_OVER = 5
"""What a combination that was recorded otherwise costs besides: found, ended in two tables, begun in two."""
NOT_COUNTED = ("BEGIN", "COMMIT", "SAVEPOINT", "RELEASE SAVEPOINT", "ROLLBACK")
OTHERS = ("NL-16", "LR-46", "CU-46")


def statements(device: Device, walk: dict[str, Any]) -> list[str]:
    with CaptureQueriesContext(connection) as captured:
        put(device, walk)
    return [row["sql"] for row in captured if not row["sql"].startswith(NOT_COUNTED)]


TRACTOR = UnitFacts(
    "tractor", (AxleFacts(1, "steer", dual=False), AxleFacts(2, "drive", dual=True), AxleFacts(3, "drive", dual=True))
)
TRAILER = UnitFacts("trailer", tuple(AxleFacts(number, "trailer", dual=True) for number in (1, 2)))


def looked_at(count: int, answer: str, unit: UnitFacts = TRAILER) -> list[dict[str, Any]]:
    """Answers to points of a unit that need no value, place by place."""
    asked = [
        (point.name, place)
        for point in load_catalogue().for_unit_kind(unit.kind)
        if point.measure is None and point.who != "mechanic"
        for place in places_for(point, unit)
    ]
    assert len(asked) >= count
    return [check(name, place, answer) for name, place in asked[:count]]


def walk(
    now: datetime,
    checks: Sequence[dict[str, Any]],
    units: Sequence[str] = UNITS,
    on_tractor: Sequence[dict[str, Any]] = (),
) -> dict[str, Any]:
    tractor, trailer, cooling_unit = units
    reports = [
        {"unit": tractor, "checks": list(on_tractor), "meters": [{"meter": "odometer_mi", "shown": "246990"}]},
        {"unit": trailer, "checks": list(checks)},
        {"unit": cooling_unit, "meters": [{"meter": "engine_h", "shown": "6470"}]},
    ]
    return body(reports, finished_at=now, coupled=True, site="north-yard")


def grave(count: int) -> list[dict[str, Any]]:
    """A stroke far over its limit, which places a hold, a fault before next use, and other findings."""
    rest = [item for item in looked_at(count, "defect") if item["point"] != "body.roof-ice"][: count - 2]
    return [stroke("axle-1-left", "2.60"), check("body.roof-ice", "", "defect"), *rest]


@pytest.fixture
def iris(ninefold: datetime) -> Device:
    """A driver whose two combinations run together already, and whose catalogue is stored."""
    device = acting_as("iris")
    for units in (UNITS, OTHERS):
        put(device, body([{"unit": unit} for unit in units], finished_at=ninefold, coupled=True))
    return device


def test_two_and_twenty_findings_with_a_hold__same_statements_within_budget(iris: Device, ninefold: datetime) -> None:
    two = statements(iris, walk(ninefold + timedelta(seconds=1), grave(2)))
    twenty = statements(iris, walk(ninefold + timedelta(seconds=1), grave(20), OTHERS))

    assert len(two) <= BUDGET
    assert len(twenty) == len(two)


def test_two_and_twenty_findings_on_units_taken_over__same_statements_and_five_more(
    iris: Device, ninefold: datetime
) -> None:
    """The budget is that of a combination that stands; the first walk with another one also moves the couplings."""
    two = statements(iris, walk(ninefold + timedelta(seconds=1), grave(2), ("NL-15", "LR-46", "CU-46")))
    for units in (UNITS, OTHERS):
        put(iris, body([{"unit": unit} for unit in units], finished_at=ninefold + timedelta(seconds=2), coupled=True))
    twenty = statements(iris, walk(ninefold + timedelta(seconds=3), grave(20), ("NL-16", "LR-45", "CU-45")))

    assert len(two) <= BUDGET + TAKING_OVER
    assert len(twenty) == len(two)


def test_twenty_and_hundred_twenty_checks__same_statements_within_budget(iris: Device, ninefold: datetime) -> None:
    twenty = statements(iris, walk(ninefold + timedelta(seconds=1), looked_at(20, "fine")))
    more = looked_at(60, "fine", TRACTOR)
    hundred_twenty = statements(iris, walk(ninefold + timedelta(seconds=2), looked_at(60, "fine"), on_tractor=more))

    assert len(twenty) <= BUDGET
    assert len(hundred_twenty) == len(twenty)


def test_the_same_findings_again__not_more_statements_than_the_first_time(iris: Device, ninefold: datetime) -> None:
    first = statements(iris, walk(ninefold + timedelta(seconds=1), grave(20)))
    again = statements(iris, walk(ninefold + timedelta(seconds=2), grave(20)))

    assert len(again) < len(first)
