"""Who finds gaps in units' files: each app adds its own finders. Judging is in the apps' rules."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime

from fleet.models import Unit
from fleet.rules.records.rehearsal import Gap


@dataclass(frozen=True)
class Audited:
    """The units that were pulled, the instant, and the day and zone of the carrier."""

    units: Sequence[Unit]
    now: datetime
    today: date
    zone: str


Finder = Callable[[Audited], Iterable[Gap]]

_finders: list[Finder] = []


def add_gap_finder(finder: Finder) -> None:
    """Add an app's finder; it reads in a number of statements that does not grow with the units."""
    _finders.append(finder)


def gap_finders() -> tuple[Finder, ...]:
    """All finders, in the order in which they were added."""
    return tuple(_finders)
