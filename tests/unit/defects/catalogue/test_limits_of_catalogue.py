"""Every limit of the catalogue, at just under, at and just over its figure, in the situation its clause describes."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest

from defects.enums import Outcome, Severity, rank
from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.clauses import When
from defects.rules.catalogue.closed_sets import FailsWhen
from defects.rules.catalogue.conditions import SHARE_FACTS
from defects.rules.catalogue.observed import AxleFacts, Conditions, UnitFacts
from defects.rules.catalogue.places import places_for
from defects.rules.catalogue.points import Limit, Point
from tests.support.rule_facts import BY_DAY, TODAY, UNITS, check, judge

STEP = Decimal("0.0001")
RECORDED = {
    "max_psi": Decimal(130),
    "target_psi": Decimal(100),
    "load_psi": Decimal(95),
    "load_psi_after_a_run": Decimal(110),
    "rated_stroke_in": Decimal("2.5"),
    "marked_limit_in": Decimal("1.875"),
    "drum_limit_in": Decimal("16.62"),
    "rotor_limit_in": Decimal("1.46"),
    "governor_cut_in_psi": Decimal(90),
    "governor_cut_out_psi": Decimal(130),
    "tank_gal": Decimal(50),
    "slider_pins": Decimal(4),
    "floor_drains": Decimal(4),
    "fuel_needed_gal": Decimal(40),
    "ordered_setpoint_f": Decimal(34),
    "ordered_lowest_f": Decimal(33),
    "ordered_highest_f": Decimal(38),
    "least_air_drop_f": Decimal("11.5"),
}
"""What shares are of, as the units and surroundings of these tests have it."""

CASES = [(point, limit) for point in load_catalogue().points.values() for limit in point.limits]


def situation_of(point: Point, when: When) -> tuple[UnitFacts, Conditions]:
    """A unit and surroundings in which a clause, and the point's own, hold."""
    unit = UNITS[point.unit_kinds[-1]]
    clause = {**point.applies_when, **when}
    roles = clause.get("axle_role", ())
    if "steer" in (*roles, *point.axle_roles) or "drive" in point.axle_roles:
        unit = UNITS["tractor"]
    of_axle = {**recorded(AxleFacts), "tire_rating_lb": Decimal(6000)}
    unit = replace(unit, **recorded(UnitFacts), axles=tuple(replace(axle, **of_axle) for axle in unit.axles))
    conditions = replace(BY_DAY, **recorded(Conditions))
    values: Any
    for key, values in clause.items():
        if key == "built_from":
            unit = replace(unit, built_on=values[0])
        elif key == "built_before":
            unit = replace(unit, built_on=values[0] - timedelta(days=1))
        elif key in {"wheel_diameter_in", "wheel_diameter_up_to_in"}:
            unit = replace(unit, steering_wheel_diameter_in=values[0])
        elif key in UnitFacts.__slots__:
            unit = replace(unit, **{key: values[0]})
        elif key in Conditions.__slots__:
            conditions = replace(conditions, **{key: values[0]})
        elif key != "axle_role":
            unit = replace(unit, axles=tuple(replace(axle, **{key: values[0]}) for axle in unit.axles))
    return unit, conditions


def recorded(facts: type) -> dict[str, Any]:
    return {name: value for name, value in RECORDED.items() if name in facts.__slots__}  # type: ignore[attr-defined]


def place_of(point: Point, unit: UnitFacts, when: When) -> str:
    roles = when.get("axle_role")
    for place in places_for(point, unit):
        if roles is None or axle_at(unit, place).role in roles:
            return place
    message = f"no place for {point.name} {when}"
    raise AssertionError(message)


def axle_at(unit: UnitFacts, place: str) -> AxleFacts:
    found = unit.axle(int(place.split("-")[1]))
    assert found is not None
    return found


def figures(point: Point, limit: Limit, unit: UnitFacts, conditions: Conditions) -> Iterator[tuple[Decimal, bool]]:
    """Values around the limit's figure, and whether each fails by this limit."""
    if limit.fails_when is FailsWhen.OUTSIDE:
        assert limit.low is not None
        assert limit.high is not None
        yield from ((limit.low - STEP, True), (limit.low, False), (limit.high, False), (limit.high + STEP, True))
        return
    figure = limit.value
    if limit.share is not None:
        assert set(RECORDED) == set(SHARE_FACTS)
        figure = RECORDED[limit.share.fact] * limit.share.percent / 100
    assert figure is not None
    upwards = limit.fails_when in (FailsWhen.ABOVE, FailsWhen.AT_OR_ABOVE)
    at = limit.fails_when in (FailsWhen.AT_OR_ABOVE, FailsWhen.AT_OR_BELOW)
    yield from ((figure - STEP, not upwards), (figure, at), (figure + STEP, upwards))


@pytest.mark.parametrize(("point", "limit"), CASES, ids=[f"{point.name}#{limit.id}" for point, limit in CASES])
def test_limit__just_under_at_and_just_over(point: Point, limit: Limit) -> None:
    unit, conditions = situation_of(point, limit.when)
    on = limit.effective_until or TODAY
    place = place_of(point, unit, limit.when)
    for value, fails in figures(point, limit, unit, conditions):
        assert point.measure is not None
        if not point.measure.minimum <= value <= point.measure.maximum:
            continue
        verdict = judge(check(point.name, "fine", place, str(value)), unit, conditions, on)
        if fails:
            assert verdict.outcome is Outcome.FINDING, value
            assert verdict.severity is not None
            assert rank(verdict.severity) >= rank(limit.severity)
        else:
            assert verdict.limit_id != limit.id or verdict.outcome is Outcome.FINE, value


@pytest.mark.parametrize(("point", "limit"), CASES, ids=[f"{point.name}#{limit.id}" for point, limit in CASES])
def test_limit__its_own_figure_decides_when_it_is_the_worst(point: Point, limit: Limit) -> None:
    """Past this limit and past no more severe one, the verdict names this limit, its figure and its source."""
    unit, conditions = situation_of(point, limit.when)
    place = place_of(point, unit, limit.when)
    value = next(value for value, fails in figures(point, limit, unit, conditions) if fails)
    assert point.measure is not None
    value = min(max(value, point.measure.minimum), point.measure.maximum)
    verdict = judge(check(point.name, "fine", place, str(value)), unit, conditions, limit.effective_until or TODAY)
    assert verdict.rule_id == f"{point.name}#{verdict.limit_id}"
    if verdict.limit_id != limit.id:
        other = point.limit(str(verdict.limit_id))
        assert other is not None
        assert rank(verdict.severity or Severity.WATCH) >= rank(limit.severity)
        return
    assert verdict.source == limit.source
    assert verdict.severity in {limit.severity, *(step.severity for step in limit.raised)}
