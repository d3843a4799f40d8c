"""How a tire's tread wears over miles and when it may reach its limit. Judges no value: the catalogue's limits do.

Depths in 32nds of an inch, miles as true totals of the odometer.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from enum import StrEnum
from math import sqrt

from common.prediction import Line, SlopeBand, fit_line, slope_band
from defects.enums import Severity
from defects.rules.catalogue.closed_sets import FailsWhen
from defects.rules.catalogue.points import Point

TREAD_POINTS = frozenset(f"tires.{role}.tread-depth" for role in ("steer", "drive", "trailer"))
FEWEST = 4
"""Fewer readings say nothing: our own figure."""
ANOTHER_TIRE = 2
"""A depth that rises by more is of another tire, or of one cut anew: our own figure."""
ROUNDED = 1 / sqrt(12)
"""What a gauge read in whole 32nds scatters by: the deviation of rounding (derived)."""
NEAR = timedelta(days=2)
"""How far from an odometer's first or last reading a tread still counts at its total: our own figure."""
FARTHEST_MI, FARTHEST_DAYS = 1_000_000, 3_650


class WearUnknown(StrEnum):
    """Why no date can be given."""

    NOT_ENOUGH_READINGS = "not_enough_readings"
    NO_WEAR_SEEN = "no_wear_seen"
    MILES_UNKNOWN = "miles_unknown"


@dataclass(frozen=True, slots=True)
class Total:
    """The true total of an odometer at an instant."""

    at: datetime
    miles: float


@dataclass(frozen=True, slots=True)
class Tread:
    """One measured depth, and the miles of its casing then, None where no odometer tells them."""

    at: datetime
    depth: float
    miles: float | None


@dataclass(frozen=True, slots=True)
class Stand:
    """Where a casing stood: the odometer of its unit, oldest first, from an instant to another, None for still."""

    totals: Sequence[Total]
    since: datetime | None = None
    until: datetime | None = None


@dataclass(frozen=True, slots=True)
class Wear:
    """What the readings of one tire come to.

    `limit_mi` is the odometer's total at which one reading in twenty would be at the limit already, `limit_at` the
    earliest instant at which the unit may get there, `expected_at` when it is to be expected there by the line and the
    median of its daily miles. None where these are not known.
    """

    readings: int
    per_10_000_mi: Decimal
    limit: Decimal
    miles_left: int
    limit_mi: int
    limit_at: datetime | None
    expected_at: datetime | None


def limit_of(point: Point) -> Decimal | None:
    """The depth below which the unit does not move: the highest of the point's grave limits."""
    grave = [
        limit.value
        for limit in point.limits
        if limit.fails_when is FailsWhen.BELOW and limit.severity == Severity.DO_NOT_MOVE and limit.value is not None
    ]
    return max(grave, default=None)


def wear_of(treads: Sequence[Tread], totals: Sequence[Total], limit: Decimal) -> Wear | WearUnknown:
    """When a tire reaches its limit, cautiously, from its treads and its unit's odometer, both oldest first.

    The miles are those of the casing, which may have stood elsewhere before.
    """
    own = of_one_tire(treads)
    points = [(tread.miles, tread.depth) for tread in own if tread.miles is not None]
    if len(points) < FEWEST:
        enough = len(own) >= FEWEST
        return WearUnknown.MILES_UNKNOWN if enough else WearUnknown.NOT_ENOUGH_READINGS
    line = fit_line(points, least_deviation=ROUNDED)
    if line is None:
        return WearUnknown.NOT_ENOUGH_READINGS
    if line.slope >= 0:
        return WearUnknown.NO_WEAR_SEEN
    last_mi = points[-1][0]
    shown = miles_at(totals, treads[-1].at) or last_mi
    limit_mi = _crossing(line, float(limit), last_mi)
    if limit_mi is None:
        return WearUnknown.NO_WEAR_SEEN
    daily = _daily_miles(totals)
    expected_mi = max(line.mean_x + (float(limit) - line.mean_y) / line.slope, limit_mi)
    return Wear(
        readings=len(points),
        per_10_000_mi=Decimal(-line.slope * 10_000).quantize(Decimal("0.1")),
        limit=limit,
        miles_left=int(limit_mi - last_mi),
        limit_mi=int(shown + limit_mi - last_mi),
        limit_at=None if daily is None else _reached(totals[-1], shown + limit_mi - last_mi, daily.high),
        expected_at=None if daily is None else _reached(totals[-1], shown + expected_mi - last_mi, daily.median),
    )


def of_one_tire(treads: Sequence[Tread]) -> Sequence[Tread]:
    """The readings since the last one that rose by more than a reading can err."""
    first = 0
    for index in range(1, len(treads)):
        if treads[index].depth - treads[index - 1].depth > ANOTHER_TIRE:
            first = index
    return treads[first:]


def casing_miles(stands: Sequence[Stand], at: datetime) -> float | None:
    """The miles that a casing has run at an instant, over all its stands, oldest first; None where one is not known.

    At a first stand without a beginning it counts as its unit's odometer does.
    """
    run = 0.0
    for stand in stands:
        last = stand.until is None or at <= stand.until
        end = miles_at(stand.totals, at if last or stand.until is None else stand.until)
        begin = 0.0 if stand.since is None else miles_at(stand.totals, stand.since)
        if end is None or begin is None:
            return None
        run += end - begin
        if last:
            return run
    return None


def miles_at(totals: Sequence[Total], at: datetime) -> float | None:
    """The odometer's total at an instant, between the readings around it; None too far outside them."""
    index = bisect_left(totals, at, key=lambda total: total.at)
    if 0 < index < len(totals):
        before, after = totals[index - 1], totals[index]
        share = (at - before.at) / (after.at - before.at)
        return before.miles + share * (after.miles - before.miles)
    nearest = totals[min(index, len(totals) - 1)] if totals else None
    return nearest.miles if nearest is not None and abs(nearest.at - at) <= NEAR else None


def _crossing(line: Line, limit: float, from_mi: float) -> float | None:
    """The first total from here at which the lower prediction bound is at the limit; the bound falls ever faster."""
    if line.at(from_mi) - line.reach(from_mi) <= limit:
        return from_mi
    near, far = from_mi, from_mi + FARTHEST_MI
    if line.at(far) - line.reach(far) > limit:
        return None
    while far - near > 1:
        middle = (near + far) / 2
        if line.at(middle) - line.reach(middle) > limit:
            near = middle
        else:
            far = middle
    return near


def _daily_miles(totals: Sequence[Total]) -> SlopeBand | None:
    return slope_band([((total.at - totals[0].at) / timedelta(days=1), total.miles) for total in totals])


def _reached(last: Total, miles: float, daily: float) -> datetime | None:
    """When the odometer stands there at so many miles a day; None where it would take a lifetime."""
    if miles <= last.miles:
        return last.at
    days = (miles - last.miles) / daily if daily > 0 else FARTHEST_DAYS
    return last.at + timedelta(days=days) if days < FARTHEST_DAYS else None
