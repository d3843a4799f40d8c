"""Cold tire pressure.

Source: 49 CFR 393.75(i)(1), text read: no tire with "a cold inflation pressure less than that specified for the load
being carried". It names no figure: the pressure for the load is recorded on the axle. Common practice, no source: at
half of the marked maximum or less a tire is flat (393.75(a)(3)); a steer tire 20 % under its target was run too low
to be driven on. Our own: the shop at 10 % under the target.
"""

from decimal import Decimal

import pytest

from defects.rules.catalogue.observed import UnitFacts
from tests.support.rule_facts import TRACTOR, TRAILER, check, codes, judge, with_axles

TIRES = [
    ("tires.steer.pressure", TRACTOR, "axle-1-left"),
    ("tires.drive.pressure", TRACTOR, "axle-2-left-outer"),
    ("tires.trailer.pressure", TRAILER, "axle-2-right-inner"),
]


@pytest.mark.parametrize(
    ("value", "severity", "limit"),
    [("94", "before_next_use", "95"), ("95", None, None), ("65", "do_not_move", "65"), ("66", "before_next_use", None)],
)
@pytest.mark.parametrize(("name", "unit", "place"), TIRES)
def test_pressure_for_the_load_recorded__less_is_before_next_use(
    name: str, unit: UnitFacts, place: str, value: str, severity: str | None, limit: str | None
) -> None:
    loaded = with_axles(unit, load_psi=Decimal(95), target_psi=Decimal(100), max_psi=Decimal(130))
    verdict = judge(check(name, "fine", place, value), loaded)
    assert verdict.severity == severity
    assert limit is None or verdict.limit_value == Decimal(limit)
    assert verdict.regulation_severity == ("before_next_use" if severity else None)


@pytest.mark.parametrize(("name", "unit", "place"), TIRES)
def test_pressure_for_the_load_not_recorded__judged_by_the_rest_and_not_flagged(
    name: str, unit: UnitFacts, place: str
) -> None:
    verdict = judge(check(name, "fine", place, "95"), with_axles(unit, load_psi=None))
    assert (verdict.outcome, codes(verdict)) == ("fine", [])


@pytest.mark.parametrize(
    ("value", "steer", "other"),
    [
        ("65", "do_not_move", "do_not_move"),  # exactly half of the 130 that are marked
        ("66", "before_next_use", "next_shop_visit"),
        ("79", "before_next_use", "next_shop_visit"),
        ("80", "next_shop_visit", "next_shop_visit"),  # 20 % under the target of 100
        ("89", "next_shop_visit", "next_shop_visit"),
        ("90", None, None),
    ],
)
def test_practice_and_our_own__at_half_and_under_the_target(value: str, steer: str | None, other: str | None) -> None:
    for name, unit, place in TIRES:
        severity = steer if "steer" in name else other
        assert judge(check(name, "fine", place, value), unit).severity == severity
