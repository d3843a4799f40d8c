"""Who finds gaps in units' files: each app contributes its finder. Judging is in the apps' rules."""

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


@dataclass(frozen=True)
class GapFinder:
    """What an app finds; it reads in a number of statements that does not grow with the units."""

    find: Callable[[Audited], Iterable[Gap]]
