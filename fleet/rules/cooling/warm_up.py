"""How fast a box warms with its engine off: the leakage index τ in hours, and whether it falls over the months."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from math import log
from statistics import median

from common.prediction import median_slope
from fleet.enums import RunningMode
from fleet.rules.cooling.readings import Figures, hours_between, runs_of

LONGEST_GAP = timedelta(hours=12)
SHORTEST_H, LEAST_F = 1.0, 10.0
FEWEST, NEWEST = 3, 5
SHORTEST_TREND_H = 30 * 24.0
"""Our own: an hour with 10 °F to the outside; three for an index, the newest five; a trend over thirty days."""

_MONTH_H = 30 * 24.0


@dataclass(frozen=True, slots=True)
class WarmUp:
    """The index, in hours, from `count` warm-ups, and its change in thirty days; None where they lie too close.

    A falling index means wet foam or a leaking seal.
    """

    tau_h: float
    per_month_h: float | None
    count: int


def leakage_index(hours: float, inside_f: tuple[float, float], outside_f: float) -> float | None:
    """τ = -t / ln((Ta - T2) / (Ta - T1)) for a box that went from T1 to T2; None where it did not come nearer to Ta."""
    first, last = (outside_f - each for each in inside_f)
    if not first > last > 0:
        return None
    return -hours / log(last / first)


def warm_up_of(series: Sequence[Figures]) -> WarmUp | None:
    """What the warm-ups of a series say; None with fewer than three."""
    runs = [run for run in runs_of(series, longest_gap=LONGEST_GAP) if run[0].mode == RunningMode.OFF]
    found = [point for run in runs if (point := _index(run, series[0])) is not None]
    if len(found) < FEWEST:
        return None
    long_enough = found[-1][0] - found[0][0] >= SHORTEST_TREND_H
    slope = median_slope(found) if long_enough else None
    newest = median(tau for _, tau in found[-NEWEST:])
    return WarmUp(newest, None if slope is None else slope * _MONTH_H, len(found))


def _index(run: Sequence[Figures], origin: Figures) -> tuple[float, float] | None:
    """Hours since the origin, and the index of one warm-up between its first and last full reading."""
    full = [
        (each.at, float(each.air_f), float(each.ambient_f))
        for each in run
        if each.air_f is not None and each.ambient_f is not None
    ]
    if len(full) < 2:  # noqa: PLR2004  a first and a last
        return None
    (began, first, outside), (ended, last, outside_then) = full[0], full[-1]
    hours, ambient = hours_between(began, ended), (outside + outside_then) / 2
    if hours < SHORTEST_H or ambient - first < LEAST_F:
        return None
    tau = leakage_index(hours, (first, last), ambient)
    return None if tau is None else (hours_between(origin.at, ended), tau)
