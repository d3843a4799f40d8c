"""Learned figures in an answer: fuel by its upper bound, pre-cooling by its pull-down, a load outside its range."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from math import ceil
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defects.enums import TemperatureClass
from defects.rules.clearance.answer import ClearanceJudgement
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


def facts(answer: ClearanceJudgement, code: Code) -> dict[str, Any] | None:
    return next((dict(reason.facts) for reason in answer.reasons if reason.code is code), None)


def test_learned_burn__counts_before_the_recorded_one_and_says_how_long_the_tank_lasts() -> None:
    """23 gallons are usable; the trip's hours burn at most 0.8 · h + 0.3 · √(h + h²/50)."""
    assert facts(answer_clearance(with_units(cooling={"fuel": TANK})), Code.FUEL_TO_ADD) is None
    thirsty = replace(BURN, gal_per_h=23 / TRIP_H)
    asked = with_units(cooling={"fuel": replace(TANK, learned=thirsty, learned_until=NOW - HOUR)})
    found = facts(answer_clearance(asked), Code.FUEL_TO_ADD)
    bound = 0.3 * (TRIP_H + TRIP_H**2 / 50) ** 0.5
    assert found is not None
    assert (found["add_gal"], found["learned_until"]) == (int(bound) + 1, NOW - HOUR)
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


WARM = LoadAtRiskFact("1", "LR-41", NOW - 3 * HOUR, None, cause="product_too_warm", cause_at=NOW - HOUR)


@pytest.mark.parametrize(
    ("cause", "code"),
    [
        ("product_too_warm", Code.PRODUCT_TOO_WARM),
        ("product_too_cold", Code.PRODUCT_TOO_COLD),
        ("air_outside_range", Code.LOAD_OUTSIDE_RANGE),
        ("product_corrected", Code.LOAD_AT_RISK_UNDECIDED),
        ("a word of a newer release", Code.LOAD_AT_RISK_UNDECIDED),
    ],
)
def test_load_at_risk_by_a_temperature__asks_for_one_decision_and_says_why(cause: str, code: Code) -> None:
    risk = replace(WARM, cause=cause, facts=(("minutes", 75),))
    answer = answer_clearance(snapshot(load=load(pre_loaded=True), loads_at_risk=(risk,)))
    assert [(reason.code, reason.kind, dict(reason.facts)) for reason in answer.reasons] == [
        (code, ReasonKind.DRIVER_STEP, {"load_at_risk": "1", "minutes": 75})
    ]


@pytest.mark.parametrize(
    ("decided", "asked"),
    [(None, True), (NOW - HOUR - timedelta(seconds=1), True), (NOW - HOUR, False), (NOW, False)],
)
def test_decision_from_before_the_newest_cause__does_not_count(decided: Any, asked: bool) -> None:
    risk = replace(WARM, decided_at=decided)
    answer = answer_clearance(snapshot(load=load(pre_loaded=True), loads_at_risk=(risk,)))
    assert (facts(answer, Code.PRODUCT_TOO_WARM) is not None) is asked
    disposed = answer_clearance(snapshot(load=load(pre_loaded=True), loads_at_risk=(replace(risk, disposed=True),)))
    assert disposed.reasons == ()
