"""What is learned of a cooling unit from readings: over series whose truth is known, and from too few."""

from datetime import UTC, datetime, timedelta
from decimal import Decimal
from math import exp

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fleet.rules.cooling.air import air_drop_of
from fleet.rules.cooling.fuel import Burn, fuel_of
from fleet.rules.cooling.learned import learn
from fleet.rules.cooling.pull_down import Approach, pull_down_of
from fleet.rules.cooling.readings import PLAUSIBLE, Figures, implausible
from fleet.rules.cooling.temperatures import from_celsius, to_celsius
from fleet.rules.cooling.time_outside import TooLong, time_outside
from fleet.rules.cooling.warm_up import warm_up_of

BEGAN = datetime(2026, 3, 1, 6, tzinfo=UTC)


def after(hours: float) -> datetime:
    return BEGAN + timedelta(hours=hours)


def tenth(value: float) -> Decimal:
    return Decimal(value).quantize(Decimal("0.1"))


def tank(*rows: tuple[float, float, float, float]) -> list[Figures]:
    """Readings by clock hours, engine hours, gallons in the tank and gallons filled."""
    return [
        Figures(at=after(at), engine_h=tenth(engine), fuel_gal=tenth(level), fuel_added_gal=tenth(added))
        for at, engine, level, added in rows
    ]


FILLS = ((0, 100, 50, 0), (9, 108, 50, 6.5), (20, 118, 50, 7.9), (33, 130, 50, 9.8), (40, 136, 50, 4.7))
"""Filled up each time: 8, 10, 12 and 6 engine hours burned what went in."""


def test_fills__say_what_an_hour_burns() -> None:
    burn = fuel_of(tank(*FILLS, (52, 147, 41.1, 0))).burn
    assert burn is not None
    assert burn.stretches == 5
    assert burn.gal_per_h == pytest.approx((6.5 + 7.9 + 9.8 + 4.7 + 8.9) / 47, abs=1e-9)
    assert burn.most(10) > burn.gal_per_h * 10


def test_four_stretches__are_not_enough() -> None:
    assert fuel_of(tank(*FILLS)).burn is None


def test_short_steps__are_joined_until_four_hours_have_run() -> None:
    steps = [(hour, 100 + hour, 50 - 0.8 * hour, 0) for hour in range(21)]
    burn = fuel_of(tank(*steps)).burn
    assert burn is not None
    assert burn.stretches == 5
    assert burn.gal_per_h == pytest.approx(0.8)


def test_fill_that_nobody_wrote_down__teaches_nothing() -> None:
    unknown = [(60, 155, 30, 0), (61, 156, 50, 0)]
    burn = fuel_of(tank(*FILLS, (52, 147, 41.1, 0), *unknown)).burn
    assert burn is not None
    assert burn.gal_per_h < 0.95


def test_replaced_hour_meter__is_no_stretch() -> None:
    burn = fuel_of(tank(*FILLS, (52, 147, 41.1, 0), (53, 0, 41, 0), (60, 6, 36.2, 0))).burn
    assert burn is not None
    assert burn.stretches == 6


@pytest.mark.parametrize(("level", "lost"), [(38.2, None), (38.0, 0.0), (20, 18.0)])
def test_fuel_gone_while_it_stood__is_told_beyond_what_a_gauge_is_off_by(level: float, lost: float | None) -> None:
    """40 gallons were there, no hour ran: 38 and more is the gauge, less is gone."""
    steady = [(hour, 100 + hour, 60 - hour, 0) for hour in range(0, 21, 4)]
    found = fuel_of(tank(*steady, (90, 120, level, 0))).lost
    assert [each.gallons for each in found] == ([] if not lost else [pytest.approx(lost)])
    assert [each.since for each in found] == ([] if not lost else [after(20)])


def test_fuel_that_hours_explain__is_not_lost() -> None:
    steady = [(hour, 100 + hour, 60 - hour, 0) for hour in range(0, 21, 4)]
    assert fuel_of(tank(*steady, (90, 130, 30, 0))).lost == ()


def test_lost_fuel__does_not_raise_the_burn() -> None:
    steady = [(hour, 100 + hour, 60 - hour, 0) for hour in range(0, 21, 4)]
    burn = fuel_of(tank(*steady, (90, 125, 10, 0))).burn
    assert burn is not None
    assert burn.gal_per_h == 1


@given(
    rate=st.floats(0.1, 3),
    spread=st.floats(0, 2),
    seen=st.floats(10, 500),
    hours=st.floats(0.5, 200),
    more=st.floats(0.5, 50),
)
def test_longer_trip__never_needs_less_and_the_tank_lasts_what_it_says(
    rate: float, spread: float, seen: float, hours: float, more: float
) -> None:
    burn = Burn(rate, spread, seen, 5)
    assert burn.most(hours + more) > burn.most(hours) >= rate * hours
    assert burn.most(burn.lasts(30)) == pytest.approx(30)


def cooling(start: float, hours: float, *, floor: float, tau: float, setpoint: int = 34) -> list[Figures]:
    """A reading every ten minutes of a box that comes down, to the hundredth of a degree."""
    return [
        Figures(
            at=after(hours + step / 6),
            mode="continuous",
            setpoint_f=Decimal(setpoint),
            return_air_f=Decimal(floor + (start - floor) * exp(-step / 6 / tau)).quantize(Decimal("0.01")),
        )
        for step in range(30)
    ]


def test_pull_downs__forecast_the_next_one_by_the_slowest() -> None:
    found = pull_down_of([*cooling(80, 0, floor=10, tau=2), *cooling(75, 48, floor=12, tau=2.5)])
    assert found is not None
    assert found.count == 2
    assert found.approach.tau_h == pytest.approx(2.5, abs=0.02)
    assert found.approach.floor_f == pytest.approx(12, abs=0.2)


def test_one_pull_down__is_not_enough() -> None:
    assert pull_down_of(cooling(80, 0, floor=10, tau=2)) is None


def test_box_that_hardly_falls__is_no_pull_down() -> None:
    assert pull_down_of([*cooling(43, 0, floor=10, tau=9), *cooling(43, 48, floor=10, tau=9)]) is None


def test_hours_to_a_target__none_below_the_floor() -> None:
    approach = Approach(floor_f=10, tau_h=2)
    assert approach.hours(80, 34) == pytest.approx(2.14088, abs=1e-5)  # 2 ln(70/24)
    assert approach.hours(34, 34) == 0
    assert approach.hours(80, 10) is None


@given(start=st.floats(40, 110), target=st.floats(11, 39), lower=st.floats(0.1, 0.9))
def test_colder_target__is_never_reached_earlier(start: float, target: float, lower: float) -> None:
    approach = Approach(floor_f=10, tau_h=2)
    first, second = approach.hours(start, target), approach.hours(start, target - lower)
    assert first is not None
    assert second is not None
    assert second > first


def warming(day: float, tau: float, *, hours: float = 6) -> list[Figures]:
    """The first and last reading of a box at 0 °F that warms with its engine off, 80 °F outside."""
    last = Decimal(80 - 80 * exp(-hours / tau)).quantize(Decimal("0.01"))
    off = {"mode": "off", "ambient_f": Decimal(80)}
    return [
        Figures(at=after(24 * day), box_f=Decimal(0), **off),  # type: ignore[arg-type]
        Figures(at=after(24 * day + hours), box_f=last, **off),  # type: ignore[arg-type]
    ]


def test_warm_ups__give_an_index_and_its_trend() -> None:
    found = warm_up_of([*warming(0, 24), *warming(30, 22), *warming(60, 20)])
    assert found is not None
    assert found.tau_h == pytest.approx(22, abs=0.05)
    assert found.per_month_h == pytest.approx(-2, abs=0.05)


def test_warm_ups__within_a_month_have_no_trend_and_two_no_index() -> None:
    found = warm_up_of([*warming(0, 24), *warming(5, 22), *warming(10, 20)])
    assert found is not None
    assert found.per_month_h is None
    assert warm_up_of([*warming(0, 24), *warming(30, 22)]) is None


def test_air_drop__is_learned_in_full_cooling_alone() -> None:
    def air(supply: int, *, back: int = 60, defrost: bool = False) -> Figures:
        shown = {"return_air_f": Decimal(back), "supply_air_f": Decimal(supply), "setpoint_f": Decimal(34)}
        return Figures(at=BEGAN, mode="continuous", defrost=defrost, **shown)  # type: ignore[arg-type]

    full = [air(46), air(48)] * 5
    beside = [air(90, defrost=True), air(30, back=35)]
    found = air_drop_of([*full, *beside])
    assert found is not None
    assert (found.mean, found.count) == (13, 10)
    assert air_drop_of([*full[:9], *beside]) is None


def air(*rows: tuple[float, float], defrost: tuple[float, ...] = ()) -> list[Figures]:
    """Return air by minutes; `defrost` names the minutes at which it defrosts."""
    return [
        Figures(at=after(minute / 60), return_air_f=Decimal(str(degrees)), defrost=minute in defrost)
        for minute, degrees in rows
    ]


def test_time_outside__counts_degree_minutes_and_the_longest_run() -> None:
    """At 36, up to 44 in 30 minutes, 44 for 30, down to 36 in 30; 40 is the limit: 15 + 30 + 15 minutes outside."""
    found = time_outside(air((0, 36), (30, 44), (60, 44), (90, 36)), None, Decimal(40))
    assert found.longest_min == pytest.approx(60)
    assert found.degree_min == pytest.approx(15 * 2 + 30 * 4 + 15 * 2)
    assert found.longest_until == after(1.5)
    assert found.too_long is None


def test_run_of_more_than_an_hour__fails() -> None:
    found = time_outside(air((0, 36), (30, 44), (61, 44), (91, 36)), None, Decimal(40)).too_long
    assert found == TooLong(after(0.5), after(61 / 60), 61)


def test_newest_time_outside_that_was_too_long__counts_and_what_is_allowed_is_said() -> None:
    twice = air((0, 44), (60, 44), (90, 30), (120, 44), (180, 44), (210, 30), (240, 41), (260, 30))
    found = time_outside(twice, None, Decimal(40)).too_long
    assert found is not None
    assert (found.since, found.until) == (after(2), after(3))
    assert time_outside(twice, None, Decimal(40), allowed_min=90).too_long is None
    assert time_outside(air((0, 44), (31, 44)), None, Decimal(40), allowed_min=30).too_long is not None


def test_too_cold__is_outside_as_well() -> None:
    found = time_outside(air((0, 30), (60, 30), (90, 30)), Decimal(32), Decimal(36)).too_long
    assert found == TooLong(after(0), after(1.5), 90)


def test_one_defrost__is_no_alarm_marked_or_not() -> None:
    peak = ((0, 34), (10, 48), (30, 52), (45, 34), (90, 34))
    assert time_outside(air(*peak), None, Decimal(40)).too_long is None
    assert time_outside(air(*peak, defrost=(10, 30)), None, Decimal(40)).degree_min == 0


def test_gap_between_readings__is_not_known() -> None:
    found = time_outside(air((0, 50), (50, 50), (111, 50), (161, 50)), None, Decimal(40))
    assert (found.longest_min, found.known_min) == (50, 100)


def test_warm_through_a_defrost__goes_on_running() -> None:
    rows = tuple((minute, 50) for minute in range(0, 120, 10))
    assert time_outside(air(*rows, defrost=(50,)), None, Decimal(40)).longest_min == pytest.approx(90)


def test_nothing_read__teaches_nothing() -> None:
    learned = learn([])
    assert (learned.burn, learned.lost, learned.pull_down, learned.warm_up, learned.air_drop) == (None,) * 5


@pytest.mark.parametrize("name", sorted(PLAUSIBLE))
def test_figure__just_within_and_just_outside_its_range(name: str) -> None:
    least, most = PLAUSIBLE[name]
    for value in (least, most):
        assert not [*implausible(Figures(at=BEGAN, **{name: value}))]  # type: ignore[arg-type]
    for value in (least - Decimal("0.1"), most + Decimal("0.1")):
        [found] = implausible(Figures(at=BEGAN, **{name: value}))  # type: ignore[arg-type]
        assert (found.name, found.least, found.most) == (name, least, most)


@given(st.integers(-1000, 2000).map(lambda tenths: Decimal(tenths) / 10))
def test_temperature__in_tenths_goes_there_and_back_exactly(degrees: Decimal) -> None:
    assert to_celsius(from_celsius(degrees)) == degrees
    assert from_celsius(degrees).as_tuple().exponent >= -2  # type: ignore[operator]
