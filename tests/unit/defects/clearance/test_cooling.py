"""Learned figures in an answer: fuel by its upper bound, pre-cooling by its pull-down, a load that left its range."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from math import ceil
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defects.enums import TemperatureClass
from defects.rules.clearance.answer import Clearance
from defects.rules.clearance.codes import Code, ReasonKind
from defects.rules.clearance.evaluate import answer_clearance
from defects.rules.clearance.snapshot import LoadAtRiskFact
from defects.rules.clearance.unit_facts import AirFact, FuelFact
from fleet.rules.cooling.fuel import Burn
from fleet.rules.cooling.pull_down import Approach
from tests.unit.defects.clearance.snapshots import ARRIVE, LEAVE, NOW, load, snapshot, with_units

HOUR = timedelta(hours=1)
TANK = FuelFact(NOW, Decimal(30), Decimal("0.5"), Decimal(50), Decimal(2))
BURN = Burn(0.8, 0.3, 50.0, 6)
TRIP_H = (ARRIVE - LEAVE) / HOUR


def facts(answer: Clearance, code: Code) -> dict[str, Any] | None:
    return next((dict(reason.facts) for reason in answer.reasons if reason.code is code), None)


def test_learned_burn__counts_before_the_recorded_one_and_says_how_long_the_tank_lasts() -> None:
    """23 gallons are usable; the trip's hours burn at most 0.8 · h + 0.3 · √(h + h²/50)."""
    assert facts(answer_clearance(with_units(cooling={"fuel": TANK})), Code.FUEL_TO_ADD) is None
    thirsty = replace(BURN, gal_per_h=23 / TRIP_H)
    asked = with_units(cooling={"fuel": replace(TANK, learned=thirsty)})
    found = facts(answer_clearance(asked), Code.FUEL_TO_ADD)
    bound = 0.3 * (TRIP_H + TRIP_H**2 / 50) ** 0.5
    assert found is not None
    assert found["add_gal"] == int(bound) + 1
    assert thirsty.most(found["lasts_h"]) <= 28 < thirsty.most(found["lasts_h"] + 1)


def test_learned_burn__is_enough_where_none_is_recorded() -> None:
    fuel = replace(TANK, burn_gal_per_h=None, learned=BURN)
    assert Code.FUEL_UNKNOWN not in {row.code for row in answer_clearance(with_units(cooling={"fuel": fuel})).unknown}


def test_tank_read_days_ago__asks_for_no_more_than_an_empty_tank_would_need() -> None:
    """Long empty, it still needs the trip's fuel, 2 gallons that cannot be drawn, and the reserve."""
    long_ago = with_units(cooling={"fuel": replace(TANK, level_gal=Decimal(45), at=NOW - 400 * HOUR, running=True)})
    found, reserve = facts(answer_clearance(long_ago), Code.FUEL_TO_ADD), snapshot().policy.fuel_reserve_gal
    assert found is not None
    assert found["add_gal"] == ceil(0.5 * TRIP_H + 2 + reserve) < 50
    assert not found["more_than_the_tank_holds"]


@given(level=st.integers(10, 50), more=st.integers(1, 20))
def test_fuller_tank__never_asks_for_more(level: int, more: int) -> None:
    def asked(gallons: int) -> int:
        fuel = replace(TANK, level_gal=Decimal(gallons), tank_gal=None, learned=replace(BURN, gal_per_h=3.0))
        found = facts(answer_clearance(with_units(cooling={"fuel": fuel})), Code.FUEL_TO_ADD)
        return 0 if found is None else int(found["add_gal"])

    assert asked(level + more) <= asked(level)


def box(degrees: str, *, pull_down: Approach | None = None) -> dict[str, AirFact]:
    return {"air": AirFact(NOW - HOUR, Decimal(degrees), pull_down)}


@pytest.mark.parametrize(("degrees", "asked"), [("-8", False), ("-7.99", True), ("60", True)])
def test_box_warmer_than_ordered__is_a_step_before_loading(degrees: str, asked: bool) -> None:
    answer = answer_clearance(with_units(cooling=box(degrees)))
    assert (facts(answer, Code.PRE_COOL) is not None) is asked
    assert all(reason.kind is ReasonKind.DRIVER_STEP for reason in answer.reasons)


def test_pre_cooling__names_no_time_before_it_is_learned() -> None:
    found = facts(answer_clearance(with_units(cooling=box("60.50"))), Code.PRE_COOL)
    assert found == {"air_f": "60.5", "target_f": "-10"}


def test_pre_cooling__begins_in_time_or_is_too_late() -> None:
    """From 60 to -8 °F with a floor of -30: τ · ln(90/22) = 1.40877 τ hours."""
    for tau in (0.1, 99.0):
        answer = answer_clearance(with_units(cooling=box("60", pull_down=Approach(-30, tau))))
        found = facts(answer, Code.PRE_COOL)
        assert found is not None
        length = timedelta(hours=1.40877 * tau)
        if tau < 1 and NOW + length < LEAVE:
            assert abs(found["start_at"] - (LEAVE - length)) < timedelta(seconds=2)
        else:
            assert abs(found["cold_at"] - (NOW + length)) < timedelta(seconds=20)


def test_box_that_never_gets_there__names_no_time() -> None:
    found = facts(answer_clearance(with_units(cooling=box("60", pull_down=Approach(-5, 1)))), Code.PRE_COOL)
    assert found == {"air_f": "60", "target_f": "-10"}


def test_box_that_was_never_read__asks_for_nothing() -> None:
    assert facts(answer_clearance(with_units(cooling={})), Code.PRE_COOL) is None


def test_dry_load_and_one_aboard__need_no_pre_cooling() -> None:
    warm = with_units(cooling=box("60"))
    for other in (load(TemperatureClass.DRY), load(pre_loaded=True)):
        assert facts(answer_clearance(replace(warm, load=other)), Code.PRE_COOL) is None


@pytest.mark.parametrize(("minutes", "asked"), [(60, False), (61, True)])
def test_load_outside_its_range__asks_for_a_decision(minutes: int, asked: bool) -> None:
    aboard = load(pre_loaded=True, outside_min=minutes, outside_until=NOW - HOUR)
    answer = answer_clearance(snapshot(load=aboard))
    assert (facts(answer, Code.LOAD_OUTSIDE_RANGE) is not None) is asked


@pytest.mark.parametrize(("decided", "asked"), [(NOW - HOUR, False), (NOW - 2 * HOUR, True)])
def test_decision_after_it__ends_it(decided: Any, asked: bool) -> None:
    aboard = load(pre_loaded=True, outside_min=90, outside_until=NOW - HOUR)
    risk = LoadAtRiskFact("1", "LR-41", NOW - 3 * HOUR, decided)
    answer = answer_clearance(snapshot(load=aboard, loads_at_risk=(risk,)))
    assert (facts(answer, Code.LOAD_OUTSIDE_RANGE) is not None) is asked


FROZEN, CHILLED, KEPT_FROM_FROST = (
    TemperatureClass.FROZEN,
    TemperatureClass.CHILLED,
    TemperatureClass.PROTECT_FROM_FREEZING,
)


@pytest.mark.parametrize(
    ("needs", "ordered", "product", "code", "limit"),
    [
        (FROZEN, {"highest_f": Decimal(5)}, "5", None, ""),
        (FROZEN, {"highest_f": Decimal(5)}, "5.1", Code.PRODUCT_TOO_WARM, "5"),
        (FROZEN, {"highest_f": Decimal(5)}, "20", Code.PRODUCT_TOO_WARM, "5"),
        (FROZEN, {"lowest_f": Decimal(-10)}, "-30", None, ""),
        (FROZEN, {}, "-5", None, ""),
        (FROZEN, {}, "-4.9", Code.PRODUCT_TOO_WARM, "-5"),
        (CHILLED, {"setpoint_f": Decimal(34), "lowest_f": Decimal(33)}, "32.9", Code.PRODUCT_TOO_COLD, "33"),
        (CHILLED, {"setpoint_f": Decimal(34), "lowest_f": Decimal(33)}, "33", None, ""),
        (KEPT_FROM_FROST, {"setpoint_f": Decimal(45)}, "39.9", Code.PRODUCT_TOO_COLD, "40"),
        (TemperatureClass.DRY, {"highest_f": Decimal(5)}, "20", None, ""),
    ],
)
def test_product_loaded_outside_its_range__asks_for_a_decision(
    needs: TemperatureClass, ordered: dict[str, Any], product: str, code: Code | None, limit: str
) -> None:
    aboard = load(needs, pre_loaded=True, product_f=Decimal(product), loaded_at=NOW - HOUR, **ordered)
    told = {each: facts(answer_clearance(snapshot(load=aboard)), each) for each in PRODUCT}
    said = {"product_f": product, "limit_f": limit}
    assert told == {each: said if each is code else None for each in PRODUCT}


PRODUCT = (Code.PRODUCT_TOO_WARM, Code.PRODUCT_TOO_COLD)


@pytest.mark.parametrize(("decided", "asked"), [(None, True), (NOW - HOUR, False), (NOW - 2 * HOUR, True)])
def test_decision_since_the_loading__ends_a_warm_product(decided: Any, asked: bool) -> None:
    aboard = load(pre_loaded=True, product_f=Decimal(20), loaded_at=NOW - HOUR)
    risk = LoadAtRiskFact("1", "LR-41", NOW - 3 * HOUR, decided)
    answer = answer_clearance(snapshot(load=aboard, loads_at_risk=(risk,)))
    assert (facts(answer, Code.PRODUCT_TOO_WARM) is not None) is asked
