"""What a ticket comes to: unknown distances, tires, moving the tandem; and that more weight is never milder."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defects.rules.weights import (
    AxleGroup,
    AxleRecord,
    Slide,
    Tandem,
    TicketFlag,
    UnitAxles,
    WeightLimit,
    WeightUnknown,
    judge_weights,
    lay_out,
    slide_that_helps,
    ticket_flags,
)

TRACTOR = UnitAxles(
    "NL-11", tuple(AxleRecord(*axle) for axle in ((1, None, 2, 6175), (2, 150, 4, 5675), (3, 52, 4, 5675))), 30
)
TRAILER = UnitAxles("LR-41", (AxleRecord(1, None, 4, 5675), AxleRecord(2, 49, 4, 5675)), 480)
TANDEM = Tandem(480, 49, 6)
Groups = tuple[AxleGroup, ...]


def weighed(steer: int, drive: int, trailer: int, tractor: UnitAxles = TRACTOR, behind: UnitAxles = TRAILER) -> Groups:
    axles = lay_out(tractor, behind)
    parts = ((0, 1, steer), (1, 3, drive), (3, 5, trailer))
    return tuple(AxleGroup(axles[start:end], Fraction(pounds)) for start, end, pounds in parts)


def test_layout__counts_from_the_first_axle_through_the_fifth_wheel() -> None:
    """The kingpin locks 30 in ahead of axle 3, at 172 in; the trailer's rear axle is 480 in behind it."""
    assert [axle.at_in for axle in lay_out(TRACTOR, TRAILER)] == [0, 150, 202, 172 + 480 - 49, 172 + 480]
    assert {axle.frame for axle in lay_out(TRACTOR, TRAILER)} == {0}
    assert [axle.tires_lb for axle in lay_out(TRACTOR, None)] == [12_350, 22_700, 22_700]


def test_distance_not_recorded__unknown_only_where_it_could_matter() -> None:
    apart = replace(TRAILER, coupling_to_rear_in=None)
    assert judge_weights(weighed(12_000, 33_000, 33_000, behind=apart)).unknown == {WeightUnknown.AXLE_DISTANCES}
    assert judge_weights(weighed(8_000, 10_000, 10_000, behind=apart)).unknown == set()
    over = judge_weights(weighed(12_000, 33_000, 34_001, behind=apart)).over
    assert [(each.limit, each.axles[0].unit) for each in over] == [(WeightLimit.TANDEM, "LR-41")]


def test_two_axles_of_unknown_distance__over_whatever_it_is_or_unknown() -> None:
    gap = replace(TRAILER, axles=(TRAILER.axles[0], replace(TRAILER.axles[1], spacing_in=None)))
    assert [each.limit for each in judge_weights(weighed(9_000, 20_000, 40_001, behind=gap)).over] == [WeightLimit.AXLE]
    assert WeightUnknown.AXLE_DISTANCES in judge_weights(weighed(9_000, 20_000, 34_001, behind=gap)).unknown


@pytest.mark.parametrize(("pounds", "fails"), [(12_350, False), (12_351, True)])
def test_tires__carry_what_is_marked_on_them(pounds: int, fails: bool) -> None:
    over = judge_weights(weighed(pounds, 30_000, 30_000)).over
    assert [each.limit for each in over] == ([WeightLimit.TIRES] if fails else [])


def test_tire_rating_not_recorded__unknown() -> None:
    bare = replace(TRACTOR, axles=tuple(replace(axle, tire_rating_lb=None) for axle in TRACTOR.axles))
    verdict = judge_weights(weighed(12_000, 33_000, 33_000, tractor=bare))
    assert (verdict.over, set(verdict.unknown)) == ((), {WeightUnknown.TIRE_RATINGS})


def test_slide__forward_takes_weight_off_the_drives_and_back_off_the_trailer() -> None:
    """One hole of 6 in on 455.5 in moves R x 6/449.5, about 400 lb of 31,000 forward; 34,900 needs three holes."""
    assert slide_that_helps(weighed(12_000, 34_900, 31_000), TANDEM) == Slide(3, rearward=False)
    assert slide_that_helps(weighed(12_000, 31_000, 34_400), TANDEM) == Slide(1, rearward=True)


def test_slide__none_where_both_tandems_are_full_or_the_whole_is_too_heavy() -> None:
    assert slide_that_helps(weighed(11_500, 34_300, 34_000), TANDEM) is None
    assert slide_that_helps(weighed(12_000, 34_500, 34_000), TANDEM) is None


@pytest.mark.parametrize(
    ("groups", "gross", "axles", "flags"),
    [
        ([(1, 12_000), (2, 34_000), (2, 34_000)], 80_060, 5, []),
        ([(1, 12_000), (2, 34_000), (2, 34_000)], 80_061, 5, [TicketFlag.DOES_NOT_ADD_UP]),
        ([(1, 12_000), (2, 34_000)], 46_000, 5, [TicketFlag.AXLES_DIFFER]),
        ([(1, 12_000), (2, 34_000)], 46_000, 0, []),
        ([(1, 499), (2, 34_000)], 34_499, 3, [TicketFlag.IMPLAUSIBLE]),
        ([(1, 60_001)], 60_001, 1, [TicketFlag.IMPLAUSIBLE]),
    ],
)
def test_ticket__flagged_for_what_does_not_fit(
    groups: list[tuple[int, int]], gross: int, axles: int, flags: list[TicketFlag]
) -> None:
    assert ticket_flags(groups, gross, axles) == flags


WEIGHTS = st.tuples(*[st.integers(1_000, 60_000)] * 3)
DISTANCES = st.one_of(st.none(), st.integers(24, 500))


@given(WEIGHTS, st.tuples(*[st.integers(0, 20_000)] * 3), st.tuples(*[DISTANCES] * 3))
def test_more_weight__is_never_milder(
    weights: tuple[int, int, int], more: tuple[int, int, int], distances: tuple[int | None, int | None, int | None]
) -> None:
    fifth_wheel, kingpin, spacing = distances
    tractor = replace(TRACTOR, coupling_to_rear_in=fifth_wheel)
    trailer = replace(
        TRAILER, coupling_to_rear_in=kingpin, axles=(TRAILER.axles[0], replace(TRAILER.axles[1], spacing_in=spacing))
    )
    lighter = judge_weights(weighed(*weights, tractor, trailer))
    steer, drive, rear = (before + added for before, added in zip(weights, more, strict=True))
    heavier = judge_weights(weighed(steer, drive, rear, tractor, trailer))
    said = {each.axles for each in heavier.over}
    assert {each.axles for each in lighter.over} <= said
    assert heavier.over or lighter.unknown <= heavier.unknown
