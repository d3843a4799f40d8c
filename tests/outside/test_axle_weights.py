"""Weights on the Interstate against 23 CFR 658.17 and the bridge table.

Read: the limits of an axle, a tandem and the whole, the formula (through a second text), the exception for two tandems,
and that five axles over 40 feet come to 73,000 lb (a public calculator's example). The other rows are the published
table of the formula, typed from memory: the rows where the formula lies halfway (9, 11 feet with three axles; 18, 22
with five) say that a half goes down.
"""

import itertools
from fractions import Fraction

import pytest

from defects.rules.weights import AxleGroup, AxlePlace, WeightLimit, WeightUnknown, bridge_limit, judge_weights

TABLE = {
    2: {9: 39_000, 10: 40_000},
    3: {9: 42_500, 10: 43_500, 11: 44_000, 12: 45_000, 13: 45_500, 14: 46_500, 15: 47_000, 16: 48_000},
    4: {12: 50_000, 13: 50_500, 14: 51_500, 15: 52_000, 16: 52_500, 17: 53_500, 18: 54_000, 36: 66_000},
    5: {16: 58_000, 17: 58_500, 18: 59_000, 19: 60_000, 20: 60_500, 21: 61_000, 22: 61_500, 40: 73_000, 51: 80_000},
}
"""By axles: feet between the outer ones, and pounds."""


@pytest.mark.parametrize(("axles", "feet", "pounds"), [(n, L, w) for n, rows in TABLE.items() for L, w in rows.items()])
def test_bridge_table(axles: int, feet: int, pounds: int) -> None:
    assert bridge_limit(axles, 12 * feet) == pounds


def rig(*groups: tuple[int, int, int], frame: int = 0) -> list[AxleGroup]:
    """Groups as (axles, pounds, inches from the last axle ahead to the first of these); 51 inches inside a group."""
    at, found, number = 0, [], itertools.count(1)
    for count, pounds, gap in groups:
        at += gap
        axles = []
        for index in range(count):
            at += 51 if index else 0
            axles.append(AxlePlace("NL-11", next(number), at, frame, 100_000))
        found.append(AxleGroup(tuple(axles), Fraction(pounds)))
    return found


def over(*groups: tuple[int, int, int]) -> list[tuple[WeightLimit, int]]:
    return [(each.limit, each.limit_lb) for each in judge_weights(rig(*groups)).over]


@pytest.mark.parametrize(
    ("steer", "drive", "trailer", "expected"),
    [
        (12_000, 34_000, 34_000, []),
        (12_000, 34_001, 33_000, [(WeightLimit.TANDEM, 34_000)]),
        (12_000, 33_000, 34_001, [(WeightLimit.TANDEM, 34_000)]),
        (20_000, 30_000, 30_000, []),
        (20_001, 29_000, 29_000, [(WeightLimit.AXLE, 20_000)]),
        (12_001, 34_000, 34_000, [(WeightLimit.GROSS, 80_000)]),
    ],
)
def test_five_axles__axle_tandem_and_gross_at_and_just_over(
    steer: int, drive: int, trailer: int, expected: list[tuple[WeightLimit, int]]
) -> None:
    """12 ft + 51 in + 31 ft + 51 in: more than the 51 ft that five axles of 80,000 lb need."""
    found = over((1, steer, 0), (2, drive, 144), (2, trailer, 400))
    assert [item for item in found if item[0] is not WeightLimit.BRIDGE] == expected


@pytest.mark.parametrize(("gap", "passes"), [(36 * 12 - 2 * 51, True), (36 * 12 - 2 * 51 - 1, False)])
def test_two_tandems__34_000_each_from_36_feet_on(gap: int, passes: bool) -> None:
    bridges = [limit for limit, _ in over((2, 34_000, 0), (2, 34_000, gap)) if limit is WeightLimit.BRIDGE]
    assert bridges == ([] if passes else [WeightLimit.BRIDGE])


@pytest.mark.parametrize(("span", "limit"), [(40, 20_000), (41, 34_000), (96, 34_000), (97, 38_000)])
def test_two_axles__one_axle_up_to_40_inches_a_tandem_up_to_96(span: int, limit: int) -> None:
    """8 ft 1 in: 500 (8.083 x 2 + 24 + 36) is 38,083, to the nearest 500."""
    for pounds, passes in ((limit, True), (limit + 1, False)):
        axles = (AxlePlace("LR-41", 1, 0, 0, 100_000), AxlePlace("LR-41", 2, span, 0, 100_000))
        found = judge_weights([AxleGroup(axles, Fraction(pounds))]).over
        assert (found == ()) is passes


def test_tandem__over_all_that_two_axles_may_carry_is_still_held_to_34_000() -> None:
    assert over((2, 41_000, 0)) == [(WeightLimit.TANDEM, 34_000)]


@pytest.mark.parametrize(
    ("span", "each_lb", "expected"),
    [
        (40, 10_000, []),
        (40, 10_001, [(WeightLimit.AXLE, 20_000)]),
        (52, 17_000, []),
        (52, 17_001, [(WeightLimit.TANDEM, 34_000)]),
        (96, 17_001, [(WeightLimit.TANDEM, 34_000)]),
        (97, 19_000, []),
        (97, 19_001, [(WeightLimit.BRIDGE, 38_000)]),
    ],
)
def test_tandem_weighed_axle_by_axle__held_to_the_same_limit(
    span: int, each_lb: int, expected: list[tuple[WeightLimit, int]]
) -> None:
    """The formula alone would allow two axles 52 inches apart 34,500 lb, and 38,000 at 96."""
    assert over((1, each_lb, 0), (1, each_lb, span)) == expected


@pytest.mark.parametrize(("gap", "passes"), [(36 * 12 - 2 * 51, True), (36 * 12 - 2 * 51 - 1, False)])
def test_two_tandems_weighed_axle_by_axle__34_000_each_from_36_feet_on(gap: int, passes: bool) -> None:
    found = over((1, 17_000, 0), (1, 17_000, 51), (1, 17_000, gap), (1, 17_000, 51))
    assert (found == []) is passes


def test_axles_far_apart_weighed_at_once__not_known_what_each_group_weighs() -> None:
    """A whole combination, and a steer axle with its tandem; not three axles of one trailer."""
    axles = tuple(axle for group in rig((1, 0, 0), (2, 0, 144), (2, 0, 400)) for axle in group.axles)
    whole = AxleGroup(axles, Fraction(79_000))
    tractor = AxleGroup(axles[:3], Fraction(20_001))
    tridem = AxleGroup(tuple(AxlePlace("LR-41", n, 54 * n, 0, 100_000) for n in range(3)), Fraction(42_000))
    assert judge_weights([whole]).unknown == {WeightUnknown.WEIGHED_TOGETHER}
    assert judge_weights([tractor]).unknown == {WeightUnknown.WEIGHED_TOGETHER}
    assert judge_weights([AxleGroup(axles[:3], Fraction(20_000))]).unknown == set()
    assert judge_weights([tridem]).unknown == set()
