"""Whether a value measured after a repair shows it to hold: the limit that was failed, and those of the day."""

from datetime import date
from decimal import Decimal

import pytest

from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.observed import AxleFacts, UnitFacts
from defects.rules.catalogue.points import Point
from defects.rules.certificates import Fault, must_be_measured, remeasure

DAY = date(2026, 3, 6)
AXLE = AxleFacts(2, "trailer", dual=True, brake_type="drum", chamber_type="24", stroke_class="long")
TRAILER = UnitFacts("trailer", (AXLE,))
UNKNOWN = UnitFacts("trailer")


def point(name: str) -> Point:
    found = load_catalogue().get(name)
    assert found is not None
    return found


def stroke(limit: str = "type-24-long", figure: str | None = "2") -> Fault:
    return Fault(
        point("brakes.service.pushrod-stroke"),
        "axle-2-right",
        Decimal("2.31"),
        limit,
        None if figure is None else Decimal(figure),
    )


@pytest.mark.parametrize(
    ("value", "unit", "failed", "within"),
    [
        ("1.9999", TRAILER, None, True),
        ("2", TRAILER, None, True),
        ("2.0001", TRAILER, "2", False),
        ("2", UNKNOWN, None, True),
        ("2.0001", UNKNOWN, "2", False),
    ],
    ids=["under", "at", "over", "axle unknown, at", "axle unknown, over"],
)
def test_stroke__against_the_limit_it_failed(value: str, unit: UnitFacts, failed: str | None, within: bool) -> None:
    found = remeasure(stroke(), Decimal(value), "in", unit, DAY)
    assert (found.failed, found.within) == (None if failed is None else Decimal(failed), within)


def test_stricter_figure_of_that_day__still_binds_after_it_was_taken_back() -> None:
    found = remeasure(stroke(figure="1.75"), Decimal("1.8"), "in", TRAILER, DAY)
    assert (found.failed, found.within) == (Decimal("1.75"), False)


def test_limit_of_the_day__binds_where_the_fault_was_not_measured_when_found() -> None:
    seen = Fault(point("brakes.service.pushrod-stroke"), "axle-2-right")
    assert remeasure(seen, Decimal(2), "in", TRAILER, DAY).within
    assert remeasure(seen, Decimal("2.1"), "in", TRAILER, DAY).failed == Decimal(2)
    assert remeasure(seen, Decimal("1.2"), "in", UNKNOWN, DAY).unknown


def test_no_chamber_may_reach_it__fails_though_the_chamber_is_not_known() -> None:
    seen = Fault(point("brakes.service.pushrod-stroke"), "axle-2-right")
    assert remeasure(seen, Decimal("3.9"), "in", UNKNOWN, DAY).failed is not None


@pytest.mark.parametrize(
    ("value", "unit_of_measure", "code"),
    [
        ("1.6", "", "unit_missing"),
        ("1.6", "psi", "unit_wrong"),
        ("4.5", "in", "value_implausible"),
        ("-1", "in", "value_implausible"),
    ],
)
def test_value_that_says_nothing__is_flagged(value: str, unit_of_measure: str, code: str) -> None:
    found = remeasure(stroke(), Decimal(value), unit_of_measure, TRAILER, DAY)
    assert (found.flag and str(found.flag.code), found.within) == (code, False)


def test_range__both_bounds_are_within() -> None:
    ranged = next(
        (known, limit)
        for known in load_catalogue().points.values()
        for limit in known.limits
        if limit.low is not None and limit.high is not None and known.measure is not None
    )
    known, limit = ranged
    assert limit.low is not None
    assert limit.high is not None
    assert known.measure is not None
    fault = Fault(known, known.places[0] if known.places else "", limit.low - 1, limit.id, limit.low)
    unit, step = known.measure.unit_of_measure, Decimal("0.1")
    facts = UnitFacts(str(known.unit_kinds[0]))
    told = {
        value: remeasure(fault, value, unit, facts, DAY).failed is None
        for value in (limit.low - step, limit.low, limit.high, limit.high + step)
    }
    assert list(told.values()) == [False, True, True, False]


def test_fault_without_a_point__has_nothing_to_compare_with() -> None:
    with pytest.raises(ValueError, match="no limits"):
        remeasure(Fault(None, ""), Decimal(1), "in", TRAILER, DAY)


@pytest.mark.parametrize(
    ("fault", "expected"),
    [
        (stroke(), True),
        (Fault(point("brakes.service.pushrod-stroke"), "axle-2-right"), True),
        (Fault(point("lamps.trailer.turn"), "left"), False),
        (Fault(None, ""), False),
        (Fault(point("cab.windshield"), ""), False),
        (Fault(point("cab.windshield"), "", Decimal(2)), True),
    ],
    ids=["measured", "evidence is a measurement", "a lamp", "own words", "only looked at", "measured nevertheless"],
)
def test_must_be_measured__what_was_measured_or_whose_evidence_is_a_measurement(fault: Fault, expected: bool) -> None:
    assert must_be_measured(fault) is expected
