"""Brake lining and pad thickness.

Source: 49 CFR 393.47(d)(1) and (2), text read: steering axle air drum 3/16 in for a shoe with one continuous strip,
1/4 in with two pads, air disc 1/8 in; other axles 1/4 in air drum, 1/8 in air disc; "less than" fails, so the value
itself passes. Part 396 Appendix A 1.a(6)(d), text read, which 396.17(g) asks to be kept: "Steering axles: Lining with a
thickness less than 1/4 inch at the shoe center for drum brakes", so a steering drum's one strip between the two figures
may not go out again. That an unknown kind of shoe is held to 1/4 in of 393.47(d) is our own choice.
"""

import tomllib
from decimal import Decimal
from pathlib import Path

import pytest

from defects.rules.catalogue.conditions import Situation
from defects.rules.catalogue.limits import limits_at
from defects.rules.catalogue.observed import AxleFacts, Conditions, UnitFacts
from tests.support.rule_facts import TODAY, TRACTOR, TRAILER, check, judge, point, with_axles

TABLE = [
    ("steer", "drum", "two_pads", "0.25"),  # 1/4
    ("steer", "drum", None, "0.25"),
    ("steer", "disc", None, "0.125"),  # 1/8
    ("drive", "drum", None, "0.25"),
    ("drive", "disc", None, "0.125"),
    ("trailer", "drum", "one_strip", "0.25"),
    ("trailer", "drum", "two_pads", "0.25"),
    ("trailer", "disc", None, "0.125"),
]


@pytest.mark.parametrize(("offset", "outcome"), [("-0.0001", "finding"), ("0", "fine"), ("0.0001", "fine")])
@pytest.mark.parametrize(("role", "brake", "lining", "limit"), TABLE)
def test_lining__judged_by_axle_and_brake(
    role: str, brake: str, lining: str | None, limit: str, offset: str, outcome: str
) -> None:
    unit = with_axles(TRAILER if role == "trailer" else TRACTOR, brake_type=brake, lining=lining)
    place = "axle-2-left" if role == "drive" else "axle-1-left"
    verdict = judge(check("brakes.service.lining", "fine", place, str(Decimal(limit) + Decimal(offset))), unit)
    assert verdict.outcome == outcome
    if outcome == "finding":
        assert (verdict.severity, verdict.limit_value) == ("do_not_move", Decimal(limit))
        assert verdict.on_steering_axle is (role == "steer")


@pytest.mark.parametrize(
    ("value", "outcome", "severity"),
    [
        ("0.1874", "finding", "do_not_move"),
        ("0.1875", "finding", "before_next_use"),
        ("0.2499", "finding", "before_next_use"),
        ("0.25", "fine", None),
    ],
)
def test_one_strip_on_a_steering_drum__below_a_quarter_inch_before_next_use(
    value: str, outcome: str, severity: str | None
) -> None:
    unit = with_axles(TRACTOR, brake_type="drum", lining="one_strip")
    verdict = judge(check("brakes.service.lining", "fine", "axle-1-left", value), unit)
    assert (verdict.outcome, verdict.severity) == (outcome, severity)


def test_brake_type_not_known__never_fine_below_the_strictest() -> None:
    unit = with_axles(TRAILER, brake_type=None)
    assert judge(check("brakes.service.lining", "fine", "axle-1-left", "0.2"), unit).outcome == "flagged"


def test_demo_carriers_steer_axles__show_the_quarter_inch() -> None:
    demo = tomllib.loads(Path("fixtures/demo/ninefold.toml").read_text())
    axles = [axle for axle in demo["axles"]["tractor"] if axle["role"] == "steer"]
    assert axles
    for axle in axles:
        facts = AxleFacts(1, "steer", dual=False, brake_type=axle["brake_type"], lining=axle["lining"])
        at = Situation(UnitFacts("tractor", (facts,)), Conditions(), "axle-1-left", facts)
        shown = limits_at(point("brakes.service.lining"), at, TODAY)
        assert max(limit.figure for limit in shown if limit.figure is not None) == Decimal("0.25")
