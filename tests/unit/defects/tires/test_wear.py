"""When a tire may be at its limit: another tire begins anew, thin series give no day, and more wear is never later."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.tires import (
    TREAD_POINTS,
    Stand,
    Total,
    Tread,
    Wear,
    WearUnknown,
    casing_miles,
    limit_of,
    miles_at,
    of_one_tire,
    wear_of,
)

START = datetime(2026, 1, 1, tzinfo=UTC)
DAY = timedelta(days=1)
FOUR = Decimal(4)


def series(*depths: float, days: int = 10, a_day: int = 400) -> tuple[list[Tread], list[Total]]:
    """Depths measured every so many days on a unit that drives so many miles a day."""
    treads = [Tread(START + index * days * DAY, depth, index * days * a_day) for index, depth in enumerate(depths)]
    return treads, [Total(tread.at, tread.miles or 0.0) for tread in treads]


def worn(*depths: float, limit: Decimal = FOUR) -> Wear:
    found = wear_of(*series(*depths), limit)
    assert isinstance(found, Wear)
    return found


def test_steady_wear__is_at_its_limit_before_the_line_says_so() -> None:
    """One 32nd in 4,000 miles: the line reaches 4 after 16,000 miles more, the cautious bound before that."""
    wear = worn(12, 11, 10, 9, 8)
    assert (wear.readings, wear.per_10_000_mi, wear.limit) == (5, Decimal("2.5"), FOUR)
    assert 8_000 < wear.miles_left < 16_000
    assert wear.limit_mi == 16_000 + wear.miles_left
    assert wear.limit_at is not None
    assert wear.expected_at == pytest.approx(START + 80 * DAY, abs=DAY / 100)
    assert abs(wear.limit_at - (START + 40 * DAY + wear.miles_left / 400 * DAY)) < DAY


def test_tire_at_its_limit__has_no_miles_left() -> None:
    wear = worn(7, 6, 5, 4)
    assert (wear.miles_left, wear.limit_at) == (0, START + 30 * DAY)


@pytest.mark.parametrize("depths", [(), (9,), (9, 8), (9, 8, 7)])
def test_thin_series__gives_no_figure(depths: Sequence[float]) -> None:
    assert wear_of(*series(*depths), FOUR) is WearUnknown.NOT_ENOUGH_READINGS


def test_no_wear_or_no_miles__gives_no_figure() -> None:
    assert wear_of(*series(9, 9, 9, 9), FOUR) is WearUnknown.NO_WEAR_SEEN
    treads, _ = series(9, 8, 7, 6)
    assert wear_of([replace(tread, miles=None) for tread in treads], [], FOUR) is WearUnknown.MILES_UNKNOWN
    parked = [replace(tread, miles=5_000) for tread in treads]
    assert wear_of(parked, [], FOUR) is WearUnknown.NOT_ENOUGH_READINGS


def test_casing__takes_its_miles_along() -> None:
    """10 days on one unit at 400 miles a day, then on another that stands at 90,000 and drives 100 a day."""
    first = Stand([Total(START + day * DAY, 1_000 + 400 * day) for day in (0, 10, 20)], START, START + 10 * DAY)
    second = Stand([Total(START + day * DAY, 90_000 + 100 * day) for day in (10, 20)], START + 10 * DAY)
    miles = [casing_miles([first, second], START + day * DAY) for day in (0, 5, 10, 20)]
    assert miles == [0, 2_000, 4_000, 5_000]
    assert casing_miles([Stand([], START)], START + DAY) is None
    assert casing_miles([replace(first)], START + 11 * DAY) is None


@pytest.mark.parametrize(("depth", "left"), [(8, 5), (8.1, 2)])
def test_another_tire__begins_a_series_of_its_own(depth: float, left: int) -> None:
    treads, _ = series(8, 7, 6, depth, depth - 1)
    assert len(of_one_tire(treads)) == left


def test_miles__lie_between_the_readings_around_and_not_far_outside() -> None:
    totals = [Total(START, 1_000), Total(START + 10 * DAY, 5_000)]
    assert miles_at(totals, START + 5 * DAY) == 3_000
    assert (miles_at(totals, START - 2 * DAY), miles_at(totals, START - 3 * DAY)) == (1_000, None)
    assert (miles_at(totals, START + 12 * DAY), miles_at(totals, START + 13 * DAY)) == (5_000, None)


def test_limit__is_the_grave_one_of_the_catalogue() -> None:
    limits = {name: limit_of(load_catalogue().points[name]) for name in TREAD_POINTS}
    assert limits == {
        "tires.steer.tread-depth": 4,
        "tires.drive.tread-depth": 2,
        "tires.trailer.tread-depth": 2,
    }


DEPTHS = st.lists(st.integers(0, 8), min_size=4, max_size=9)


@given(DEPTHS, st.integers(1, 20))
def test_more_wear__is_never_later(scatter: list[int], more: int) -> None:
    """The same readings, each worn further by so much in each 10,000 miles."""
    before = [20 - index + scattered / 8 for index, scattered in enumerate(scatter)]
    after = [depth - more * index * 0.4 for index, depth in enumerate(before)]
    slow, fast = wear_of(*series(*before), FOUR), wear_of(*series(*after), FOUR)
    assert isinstance(fast, Wear)
    assert not isinstance(slow, Wear) or fast.limit_mi <= slow.limit_mi
    assert not isinstance(slow, Wear) or (fast.expected_at or START) <= (
        slow.expected_at or datetime.max.replace(tzinfo=UTC)
    )
