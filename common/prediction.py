"""Small statistics of a series: how far the next value may lie, lines, and slopes that stray values do not turn."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import sqrt
from statistics import fmean, median, stdev

_T_95: tuple[float, ...] = (
    6.314,
    2.920,
    2.353,
    2.132,
    2.015,
    1.943,
    1.895,
    1.860,
    1.833,
    1.812,
    1.796,
    1.782,
    1.771,
    1.761,
    1.753,
)
_T_95 += (1.746, 1.740, 1.734, 1.729, 1.725, 1.721, 1.717, 1.714, 1.711, 1.708, 1.706, 1.703, 1.701, 1.699, 1.697)


def t_95(degrees: int) -> float:
    """The 95 % quantile of Student's t, one-sided, for 1 or more degrees of freedom; beyond 30 that of 30.

    NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2, from memory, compared with SciPy. What is cut off at 30
    is at most 3 % too far out, on the cautious side.
    """
    return _T_95[min(degrees, len(_T_95)) - 1]


@dataclass(frozen=True, slots=True)
class NextValue:
    """Where one further value of a series is expected: `mean`, and `reach` to either side with 95 % on that side."""

    mean: float
    reach: float
    count: int


def next_value(values: Sequence[float]) -> NextValue:
    """The prediction for one further value of a normal series: mean, and t · s · √(1 + 1/n). Two values at least."""
    count = len(values)
    return NextValue(fmean(values), t_95(count - 1) * stdev(values) * sqrt(1 + 1 / count), count)


def median_slope(points: Sequence[tuple[float, float]]) -> float | None:
    """The median of the slopes between all pairs of points (Theil and Sen); None where no two differ in x."""
    slopes = [(y2 - y1) / (x2 - x1) for (x1, y1), (x2, y2) in combinations(points, 2) if x1 != x2]
    return median(slopes) if slopes else None


@dataclass(frozen=True, slots=True)
class Line:
    """A least-squares line through points: y = mean_y + slope (x - mean_x), with the residuals' standard deviation."""

    slope: float
    mean_x: float
    mean_y: float
    deviation: float
    spread: float
    count: int

    def at(self, x: float) -> float:
        """The value of the line."""
        return self.mean_y + self.slope * (x - self.mean_x)

    def reach(self, x: float) -> float:
        """How far one further value at x may lie off with 95 % on that side: t · s · √(1 + 1/n + (x - x̄)²/Sxx)."""
        leverage = 1 + 1 / self.count + (x - self.mean_x) ** 2 / self.spread
        return t_95(self.count - 2) * self.deviation * sqrt(leverage)


def fit_line(points: Sequence[tuple[float, float]], *, least_deviation: float = 0.0) -> Line | None:
    """The least-squares line through three or more points that differ in x, else None.

    `least_deviation` is what the values scatter by at least, such as by rounding, however well they lie on the line.
    """
    count = len(points)
    mean_x, mean_y = (fmean(values) for values in zip(*points, strict=True)) if points else (0.0, 0.0)
    spread = sum((x - mean_x) ** 2 for x, _ in points)
    if count < 3 or not spread:  # noqa: PLR2004 - two points leave nothing to scatter
        return None
    slope = sum((x - mean_x) * (y - mean_y) for x, y in points) / spread
    left = sum((y - mean_y - slope * (x - mean_x)) ** 2 for x, y in points)
    return Line(slope, mean_x, mean_y, max(sqrt(left / (count - 2)), least_deviation), spread, count)


@dataclass(frozen=True, slots=True)
class SlopeBand:
    """The median slope between all pairs of points, and the slopes between which it lies with the confidence asked."""

    low: float
    median: float
    high: float


def slope_band(points: Sequence[tuple[float, float]], *, z: float = 1.960) -> SlopeBand | None:
    """Theil's slope with Sen's band (1968), z being the two-sided normal quantile; None where no two differ in x."""
    slopes = sorted((y2 - y1) / (x2 - x1) for (x1, y1), (x2, y2) in combinations(points, 2) if x1 != x2)
    if not slopes:
        return None
    count = len(points)
    half = z * sqrt(count * (count - 1) * (2 * count + 5) / 18) / 2
    low, high = round(len(slopes) / 2 - half) - 1, round(len(slopes) / 2 + half)
    return SlopeBand(slopes[max(low, 0)], median(slopes), slopes[min(high, len(slopes) - 1)])
