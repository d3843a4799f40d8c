"""Rear impact guard dimensions.

Source: 49 CFR 393.86(a) and Part 396 Appendix A item 15, texts read: trailers built on or after 26 January 1998: bottom
at most 22 in above ground, at most 12 in ahead of the rear extremity, within 4 in of each side; (b) and item 15 for
older ones 30, 24 and 18 in. At the value passes. 393.86(a)(1) and 393.5, texts read: a special purpose vehicle, whose
"work-performing equipment" takes the guard's place, needs none.
"""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from tests.support.rule_facts import TRAILER, check, judge

NEWER, OLDER = date(1998, 1, 26), date(1998, 1, 25)
TABLE = [
    ("guard.rear.height", NEWER, "22"),
    ("guard.rear.height", OLDER, "30"),
    ("guard.rear.set-in", NEWER, "12"),
    ("guard.rear.set-in", OLDER, "24"),
    ("guard.rear.side-gap", NEWER, "4"),
    ("guard.rear.side-gap", OLDER, "18"),
]


@pytest.mark.parametrize(("offset", "outcome"), [("-0.01", "fine"), ("0", "fine"), ("0.01", "finding")])
@pytest.mark.parametrize(("name", "built_on", "limit"), TABLE)
def test_guard__judged_by_the_day_the_trailer_was_built(
    name: str, built_on: date, limit: str, offset: str, outcome: str
) -> None:
    unit = replace(TRAILER, built_on=built_on)
    verdict = judge(check(name, "fine", "", str(Decimal(limit) + Decimal(offset))), unit)
    assert (verdict.outcome, verdict.limit_value) == (outcome, Decimal(limit))
    assert verdict.severity == ("before_next_use" if outcome == "finding" else None)


@pytest.mark.parametrize(
    "name", ["guard.rear.height", "guard.rear.set-in", "guard.rear.side-gap", "guard.rear.section"]
)
def test_lift_gate_in_its_place__no_measurement_of_a_guard_that_is_not_there(name: str) -> None:
    verdict = judge(check(name, "not_applicable"), replace(TRAILER, built_on=NEWER))
    assert (verdict.outcome, verdict.flags) == ("not_applicable", ())


def test_guard_itself__is_looked_at_on_every_trailer() -> None:
    assert judge(check("guard.rear.condition", "not_applicable"), TRAILER).outcome == "flagged"
