"""Steering wheel free play by wheel diameter and assist.

Source: 49 CFR 393.209(b)(1), the table, text read, in inches at the rim; (b)(2) other diameters 14 degrees manual and
30 degrees power, so for those the arcs at the rim (worked out here from pi x diameter x degrees / 360, rounded down).
"Not more than" passes at the value.
"""

from dataclasses import replace
from decimal import Decimal

import pytest

from tests.support.rule_facts import TRACTOR, check, codes, judge

TABLE = [
    (15, "manual", "2"),  # 16 in or less
    (15, "power", "4.25"),
    (16, "manual", "2"),
    (16, "power", "4.25"),  # 4-1/4
    (17, "manual", "2.0769"),
    (17, "power", "4.4505"),
    (18, "manual", "2.25"),  # 2-1/4
    (18, "power", "4.75"),  # 4-3/4
    (19, "manual", "2.375"),  # 2-3/8
    (19, "power", "5"),
    (20, "manual", "2.5"),  # 2-1/2
    (20, "power", "5.25"),  # 5-1/4
    (21, "manual", "2.625"),  # 2-5/8
    (21, "power", "5.5"),  # 5-1/2
    (22, "manual", "2.75"),  # 2-3/4
    (22, "power", "5.75"),  # 5-3/4
    (23, "manual", "2.8099"),
    (23, "power", "6.0213"),
    (24, "manual", "2.9321"),
    (24, "power", "6.2831"),
    (25, "manual", "3.0543"),
    (25, "power", "6.5449"),
    (26, "manual", "3.1764"),
    (26, "power", "6.8067"),
]
OTHER = (17, 23, 24, 25, 26)


@pytest.mark.parametrize(("offset", "outcome"), [("-0.0001", "fine"), ("0", "fine"), ("0.0001", "finding")])
@pytest.mark.parametrize(("diameter", "assist", "limit"), TABLE)
def test_free_play__judged_by_the_table(diameter: int, assist: str, limit: str, offset: str, outcome: str) -> None:
    unit = replace(TRACTOR, steering_wheel_diameter_in=Decimal(diameter), steering_assist=assist)
    verdict = judge(check("steering.free-play", "fine", "", str(Decimal(limit) + Decimal(offset))), unit)
    assert (verdict.outcome, verdict.limit_value) == (outcome, Decimal(limit))
    assert verdict.severity == ("do_not_move" if outcome == "finding" else None)


@pytest.mark.parametrize("diameter", OTHER)
@pytest.mark.parametrize(("degrees", "assist"), [(14, "manual"), (30, "power")])
def test_other_diameter__typed_arc_is_the_whole_arc_to_the_last_ten_thousandth(
    diameter: int, degrees: int, assist: str
) -> None:
    arc = Decimal("3.14159265358979") * diameter * degrees / 360
    limit = next(Decimal(value) for inches, kind, value in TABLE if (inches, kind) == (diameter, assist))
    assert limit <= arc < limit + Decimal("0.0001")


@pytest.mark.parametrize(
    "change",
    [{"steering_wheel_diameter_in": None}, {"steering_assist": None}, {"steering_wheel_diameter_in": Decimal(27)}],
)
def test_wheel_not_known_or_not_in_the_table__flagged_never_fine(change: dict[str, Decimal | None]) -> None:
    verdict = judge(check("steering.free-play", "fine", "", "1.5"), replace(TRACTOR, **change))  # type: ignore[arg-type]
    assert (verdict.outcome, codes(verdict)) == ("flagged", ["limit_unknown"])


def test_five_and_a_half_inches_on_a_20_inch_power_steering_wheel__do_not_move() -> None:
    verdict = judge(check("steering.free-play", "fine", "", "5.5"), TRACTOR)
    assert (verdict.outcome, verdict.severity, verdict.limit_value) == ("finding", "do_not_move", Decimal("5.25"))
