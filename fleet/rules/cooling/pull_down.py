"""How fast a cooling unit brings its box down: T = floor + (T₀ - floor) · e^(-t/τ), fitted to what it did before."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import timedelta
from math import exp, log

from fleet.rules.cooling.readings import Figures, hours_between, runs_of

LONGEST_GAP = timedelta(hours=1)
FEWEST_READINGS = 5
LEAST_FALL_F = 10.0
FEWEST, NEWEST = 2, 5
"""Our own, all of them: a pull-down falls 10 °F and is read five times; two are enough, of more the newest five."""

Point = tuple[float, float]
"""Hours since the first reading, and °F."""

_FASTEST_H, _SLOWEST_H = 0.05, 100.0


@dataclass(frozen=True, slots=True)
class Approach:
    """A temperature on its way to `floor_f`, the rest of the way shrinking by e in each `tau_h` hours."""

    floor_f: float
    tau_h: float

    def hours(self, start_f: float, target_f: float) -> float | None:
        """How long it takes from one temperature down to another; None where it never gets there."""
        if start_f <= target_f:
            return 0.0
        if target_f <= self.floor_f:
            return None
        return self.tau_h * log((start_f - self.floor_f) / (target_f - self.floor_f))


@dataclass(frozen=True, slots=True)
class PullDown:
    """What is expected of the next pull-down: the slowest and the warmest of the newest ones, `count` of them."""

    approach: Approach
    count: int


def fit_approach(points: Sequence[Point]) -> Approach | None:
    """The least-squares approach through readings; None where they do not bend, so that no floor can be told.

    For each τ the floor is a straight regression; τ is searched on a grid and then by golden section.
    """
    if len(points) < FEWEST_READINGS:
        return None
    step = (_SLOWEST_H / _FASTEST_H) ** (1 / 80)
    grid = [_FASTEST_H * step**n for n in range(81)]
    best = min(range(81), key=lambda n: _regressed(points, grid[n])[1])
    if best in {0, 80}:
        return None
    tau = _golden(lambda value: _regressed(points, value)[1], grid[best - 1], grid[best + 1])
    return Approach(_regressed(points, tau)[0], tau)


def pull_down_of(series: Sequence[Figures]) -> PullDown | None:
    """What past pull-downs let expect; None with fewer than two."""
    runs = runs_of(series, longest_gap=LONGEST_GAP)
    fits = [fit for run in runs if (fit := _fit(run)) is not None][-NEWEST:]
    if len(fits) < FEWEST:
        return None
    slowest = Approach(max(fit.floor_f for fit in fits), max(fit.tau_h for fit in fits))
    return PullDown(slowest, len(fits))


def _fit(run: Sequence[Figures]) -> Approach | None:
    """The approach of the falling start of one run, up to 2 °F above the setpoint, from where it is throttled."""
    known = [(each, float(each.air_f)) for each in run if each.air_f is not None and each.setpoint_f is not None]
    falling: list[Point] = []
    lowest = float("inf")
    for figures, air in known:
        lowest = min(lowest, air)
        if air > lowest + 1 or air < float(figures.setpoint_f or 0) + 2:
            break
        falling.append((hours_between(known[0][0].at, figures.at), air))
    if not falling or falling[0][1] - falling[-1][1] < LEAST_FALL_F:
        return None
    return fit_approach(falling)


def _regressed(points: Sequence[Point], tau: float) -> tuple[float, float]:
    """The floor for one τ, and the sum of squares that is left: T = floor + fall · e^(-t/τ)."""
    falls = [exp(-at / tau) for at, _ in points]
    mean_x, mean_y = sum(falls) / len(points), sum(y for _, y in points) / len(points)
    spread = sum((x - mean_x) ** 2 for x in falls)
    if spread == 0:
        return mean_y, float("inf")
    fall = sum((x - mean_x) * (y - mean_y) for x, (_, y) in zip(falls, points, strict=True)) / spread
    floor = mean_y - fall * mean_x
    return floor, sum((y - floor - fall * x) ** 2 for x, (_, y) in zip(falls, points, strict=True))


def _golden(cost: Callable[[float], float], low: float, high: float) -> float:
    """The minimum of a function with one valley between two points, by golden section."""
    share = (5**0.5 - 1) / 2
    for _ in range(60):
        left, right = high - share * (high - low), low + share * (high - low)
        low, high = (low, right) if cost(left) < cost(right) else (left, high)
    return (low + high) / 2
