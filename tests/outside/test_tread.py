"""Tread depth by position.

Source: 49 CFR 393.75(b) (front wheels of a tractor, at least 4/32 in) and 393.75(c) (all other, at least 2/32 in), text
read; 570.62(a) has the same figures. "At least" passes at the value. The watch limits 6/32 and 4/32 are our own.
"""

import pytest

from tests.support.rule_facts import TRACTOR, TRAILER, check, judge

CASES = [
    ("tires.steer.tread-depth", "axle-1-left", "3.9", "do_not_move"),
    ("tires.steer.tread-depth", "axle-1-left", "4", "watch"),
    ("tires.steer.tread-depth", "axle-1-left", "4.1", "watch"),
    ("tires.steer.tread-depth", "axle-1-right", "5", "watch"),
    ("tires.steer.tread-depth", "axle-1-right", "5.9", "watch"),
    ("tires.steer.tread-depth", "axle-1-right", "6", None),
    ("tires.drive.tread-depth", "axle-2-left-outer", "1.9", "do_not_move"),
    ("tires.drive.tread-depth", "axle-2-left-inner", "2", "watch"),
    ("tires.drive.tread-depth", "axle-3-right-outer", "2.1", "watch"),
    ("tires.drive.tread-depth", "axle-3-right-outer", "3.9", "watch"),
    ("tires.drive.tread-depth", "axle-3-right-inner", "4", None),
    ("tires.trailer.tread-depth", "axle-1-left-outer", "1.9", "do_not_move"),
    ("tires.trailer.tread-depth", "axle-2-left-inner", "2", "watch"),
    ("tires.trailer.tread-depth", "axle-2-right-outer", "2.1", "watch"),
    ("tires.trailer.tread-depth", "axle-2-right-inner", "4", None),
]


@pytest.mark.parametrize(("name", "place", "value", "severity"), CASES)
def test_tread__just_under_at_and_just_over(name: str, place: str, value: str, severity: str | None) -> None:
    unit = TRAILER if "trailer" in name else TRACTOR
    verdict = judge(check(name, "fine", place, value), unit)
    assert verdict.outcome == ("fine" if severity is None else "finding")
    assert verdict.severity == severity


@pytest.mark.parametrize(
    ("name", "place"), [("tires.drive.tread-depth", "axle-1-left"), ("tires.steer.tread-depth", "axle-2-left-outer")]
)
def test_tread_point__only_at_tires_of_its_own_position(name: str, place: str) -> None:
    assert judge(check(name, "fine", place, "12"), TRACTOR).outcome == "flagged"
