"""Brake lining and pad thickness.

Source: 49 CFR 393.47(d)(1) and (2), text read: steering axle air drum 3/16 in for a shoe with one continuous strip,
1/4 in with two pads, air disc 1/8 in; other axles 1/4 in air drum, 1/8 in air disc; "less than" fails, so the value
itself passes. That an unknown kind of shoe is held to the stricter 1/4 in is our own choice (the periodic inspection
of Part 396 Appendix A rejects below 1/4 in on any steering drum).
"""

from decimal import Decimal

import pytest

from tests.support.rule_facts import TRACTOR, TRAILER, check, judge, with_axles

TABLE = [
    ("steer", "drum", "one_strip", "0.1875"),  # 3/16
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


def test_brake_type_not_known__never_fine_below_the_strictest() -> None:
    unit = with_axles(TRAILER, brake_type=None)
    assert judge(check("brakes.service.lining", "fine", "axle-1-left", "0.2"), unit).outcome == "queried"
