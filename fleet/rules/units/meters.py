"""Odometers and hour meters: which a unit has, what a replaced meter adds, which readings may enter a series."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

METERS_OF_KIND: Mapping[str, frozenset[str]] = {
    "tractor": frozenset({"odometer_mi", "engine_h"}),
    "trailer": frozenset({"odometer_mi"}),
    "cooling_unit": frozenset({"engine_h", "standby_h"}),
}
"""Common practice, no source: a trailer's odometer sits in a hub, a cooling unit counts engine and standby hours."""


def has_meter(kind: str, meter: str) -> bool:
    return meter in METERS_OF_KIND[kind]


_DAY = timedelta(days=1)
_MICROSECONDS_A_DAY = _DAY // timedelta(microseconds=1)


@dataclass(frozen=True, slots=True)
class Reading:
    """A true total (miles or hours, replaced meters added) at an instant with its offset."""

    at: datetime
    total: Decimal


@dataclass(frozen=True, slots=True)
class Replacement:
    """From `at` on, true total = what the meter shows + `offset`."""

    at: datetime
    offset: Decimal


@dataclass(frozen=True, slots=True)
class Limit:
    """The most a meter can run in a day. Within less than `shortest` it may still run as much as within `shortest`.

    `slack` is added to it: what a meter that shows whole numbers may hide.
    """

    per_day: Decimal
    shortest: timedelta = timedelta(0)
    slack: Decimal = Decimal(0)

    def most_within(self, elapsed: timedelta) -> Decimal:
        """The largest plausible difference between two readings so far apart."""
        counted = max(elapsed, self.shortest) // timedelta(microseconds=1)
        return self.per_day * counted / _MICROSECONDS_A_DAY + self.slack


LIMITS: Mapping[str, Limit] = {
    "odometer_mi": Limit(Decimal(1100), shortest=_DAY),
    "engine_h": Limit(Decimal(24), slack=Decimal(1)),
    "standby_h": Limit(Decimal(24), slack=Decimal(1)),
}
"""The carrier's own defaults by meter: 1,100 miles a day, and no more hours than a day has."""


@dataclass(frozen=True, slots=True)
class ReadingProblem:
    """Why a reading stays out of its series: `negative`, `future`, `falling` or `implausible`.

    `against` is the neighbour it contradicts, `allowed` the difference that would have been plausible.
    """

    code: str
    against: Reading | None = None
    allowed: Decimal | None = None


def offset_at(replacements: Sequence[Replacement], at: datetime) -> Decimal:
    """The offset in force at an instant: that of the newest replacement by then, 0 before the first."""
    newest = max((row for row in replacements if row.at <= at), key=lambda row: row.at, default=None)
    return newest.offset if newest is not None else Decimal(0)


def true_total(shown: Decimal, at: datetime, replacements: Sequence[Replacement]) -> Decimal:
    """What the meter shows plus the offset in force when it was read."""
    return shown + offset_at(replacements, at)


def offset_for(last_total: Decimal, first_shown: Decimal) -> Decimal:
    """The offset to record for a replaced meter, from the old one's last true total and the new one's first reading."""
    return last_total - first_shown


def reading_problem(
    shown: Decimal, reading: Reading, series: Sequence[Reading], limit: Limit, now: datetime
) -> ReadingProblem | None:
    """The first reason not to take a reading into a series, None to take it.

    `series` holds the accepted readings of the same meter in any order; a late reading is compared with the ones
    before and after it, so that neither side of it falls or leaps. Equal totals are fine: a parked unit stands still.
    """
    if shown < 0:
        return ReadingProblem("negative")
    if reading.at > now:
        return ReadingProblem("future")
    before = max((row for row in series if row.at <= reading.at), key=lambda row: (row.at, row.total), default=None)
    after = min((row for row in series if row.at > reading.at), key=lambda row: (row.at, row.total), default=None)
    for earlier, later, neighbour in ((before, reading, before), (reading, after, after)):
        if earlier is None or later is None:
            continue
        if later.total < earlier.total:
            return ReadingProblem("falling", neighbour)
        allowed = limit.most_within(later.at - earlier.at)
        if later.total - earlier.total > allowed:
            return ReadingProblem("implausible", neighbour, allowed)
    return None
