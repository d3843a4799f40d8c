"""Which keeping rule each kind of history entry falls under; every app registers its own. Deletes nothing.

The rules themselves are in `fleet.rules.records.retention`. What nobody registered is kept for good.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date

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

_kept_by: dict[str, KeptBy] = {}


def as_kind(record_kind: str) -> KeptBy:
    """Return the rule of a record kind, counted from the entry's day; KeyError for an unknown kind."""
    keep_until(record_kind, date.min)
    return lambda happened: Kept(record_kind, keep_until(record_kind, happened.day).until)


def for_good(record_kind: str) -> KeptBy:
    """Return the rule of what is kept as long as the file itself; KeyError for an unknown kind."""
    keep_until(record_kind, date.min)
    return lambda _: Kept(record_kind, None)


def register_kept(kept_by: KeptBy, events: Iterable[str]) -> None:
    """Say how entries of these kinds are kept; ValueError for a kind that is registered already."""
    for event in events:
        if event in _kept_by:
            msg = f"how {event!r} is kept is said twice"
            raise ValueError(msg)
        _kept_by[event] = kept_by


def kept(event: str, happened: Happened) -> Kept:
    """How long an entry is kept by the rules; `UNKNOWN` for a kind that nobody registered."""
    kept_by = _kept_by.get(event)
    return UNKNOWN if kept_by is None else kept_by(happened)


def registered_events() -> frozenset[str]:
    """All kinds of entries whose keeping is known."""
    return frozenset(_kept_by)
