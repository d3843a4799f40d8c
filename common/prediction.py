"""Small statistics of a series: how far the next value may lie, and a slope that stray values do not turn."""

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
