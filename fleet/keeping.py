"""Which keeping rule each kind of history entry falls under; every app contributes its own. Deletes nothing.

The rules themselves are in `fleet.rules.records.retention`. What no app names is kept for good.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache

from common.composition import contributed, indexed
from fleet.rules.records.retention import keep_until


@dataclass(frozen=True, slots=True)
class Kept:
    """The record kind whose rule counts, and the last day of keeping; None while it is kept for good."""

    record_kind: str
    until: date | None


@dataclass(frozen=True, slots=True)
class Happened:
    """One entry as the rules see it: what it says, and the later of the days it happened and was recorded on.

    Both days are the carrier's. The later one never keeps a record too short, whichever the rule counts from.
    """

    day: date
    said: Mapping[str, object]


KeptBy = Callable[[Happened], Kept]

FILE = "unit_file"
"""The record kind of what is kept as long as the file itself."""

UNKNOWN = Kept(FILE, None)


@dataclass(frozen=True, eq=False)
class Retention:
    """How entries of these kinds are kept."""

    kept_by: KeptBy
    events: tuple[str, ...]


def as_kind(record_kind: str) -> KeptBy:
    """Return the rule of a record kind, counted from the entry's day; KeyError for an unknown kind."""
    keep_until(record_kind, date.min)
    return lambda happened: Kept(record_kind, keep_until(record_kind, happened.day).until)


def for_good(record_kind: str) -> KeptBy:
    """Return the rule of what is kept as long as the file itself; KeyError for an unknown kind."""
    keep_until(record_kind, date.min)
    return lambda _: Kept(record_kind, None)


def kept(event: str, happened: Happened) -> Kept:
    """How long an entry is kept by the rules; `UNKNOWN` for a kind that no app names."""
    kept_by = _by_event(contributed(Retention)).get(event)
    return UNKNOWN if kept_by is None else kept_by(happened)


@cache
def _by_event(retentions: tuple[Retention, ...]) -> dict[str, KeptBy]:
    return indexed((event, retention.kept_by) for retention in retentions for event in retention.events)
