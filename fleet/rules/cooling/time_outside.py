"""How long, and by how much, the air in a box was outside the ordered range; a defrost's own peak is no alarm."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from itertools import pairwise

from fleet.rules.cooling.readings import Figures

LONGEST_GAP = timedelta(hours=1)
"""Our own: between readings further apart than this nothing is known."""

LONGEST_MIN = 60
"""What a carrier that has not decided allows at a time.

Common practice, no published source: 3 to 5 °F for more than 30 to 60 minutes outside defrost call for a call.
"""

_MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class TooLong:
    """A time outside that was longer than allowed: its first and last reading outside, and its minutes."""

    since: datetime
    until: datetime
    minutes: float


@dataclass(frozen=True, slots=True)
class TimeOutside:
    """Degree-minutes outside a range (°F · min), its longest run in minutes with its end, and the minutes known.

    `too_long` is the newest run that was longer than allowed.
    """

    degree_min: float = 0.0
    longest_min: float = 0.0
    longest_until: datetime | None = None
    known_min: float = 0.0
    too_long: TooLong | None = None


def time_outside(
    series: Sequence[Figures], lowest: Decimal | None, highest: Decimal | None, *, allowed_min: int = LONGEST_MIN
) -> TimeOutside:
    """Measure readings in the order of time against a range, straight lines between them.

    Time up to a reading taken in defrost counts as known and not as outside: it neither adds to a run nor ends it.
    """
    known = [each for each in series if each.air_f is not None]
    total = longest = run = minutes = 0.0
    until: datetime | None = None
    since: datetime | None = None
    too_long: TooLong | None = None
    for before, now in pairwise(known):
        length = (now.at - before.at) / _MINUTE
        if now.at - before.at > LONGEST_GAP:
            run, since = 0.0, None
            continue
        minutes += length
        if before.defrost or now.defrost:
            continue
        first, last = _outside(before, lowest, highest), _outside(now, lowest, highest)
        if since is None:
            since = before.at if first > 0 else now.at
        for share, area in _parts(first, last):
            run = run + share * length if area > 0 else 0.0
            total += area * length
            if run > longest:
                longest, until = run, now.at
            if run > allowed_min:
                too_long = TooLong(since, now.at if last > 0 else before.at, run)
        if last <= 0:
            since = None
    return TimeOutside(total, longest, until, minutes, too_long)


def _outside(figures: Figures, lowest: Decimal | None, highest: Decimal | None) -> float:
    """°F above the range, or below it; negative by the distance to the nearest bound where it lies within."""
    air = figures.air_f or Decimal(0)
    bounds = [air - highest] if highest is not None else []
    bounds += [lowest - air] if lowest is not None else []
    return float(max(bounds, default=Decimal(-1)))


def _parts(first: float, last: float) -> Sequence[tuple[float, float]]:
    """The shares of a line from one figure to another that lie outside and inside, in order, each with its area."""
    if first > 0 and last > 0:
        return [(1.0, (first + last) / 2)]
    if first <= 0 and last <= 0:
        return [(1.0, 0.0)]
    crossing = first / (first - last)
    if first > 0:
        return [(crossing, first * crossing / 2), (1 - crossing, 0.0)]
    return [(crossing, 0.0), (1 - crossing, last * (1 - crossing) / 2)]
