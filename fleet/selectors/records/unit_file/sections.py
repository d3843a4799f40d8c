"""The sections of a unit's file, each contributed by the app that keeps its records. It reads nothing itself."""

import logging
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cache
from typing import Any

from django.db.models import Q
from django.utils.translation import gettext as _

from common.clock import end_of_day
from common.composition import contributed, indexed
from fleet.models import Unit
from fleet.selectors.records.unit_file.formatting import Words

logger = logging.getLogger(__name__)

Record = Mapping[str, Any]
"""One record as `common.canonical` spells it; read back from its JSON before it is worded."""

CHUNK = 500
"""How many rows are in memory at a time, with all that hangs on them."""


@dataclass(frozen=True)
class FileScope:
    """Whose file, of which days of the carrier's zone (both included; None for no end), and when it was asked for."""

    unit: Unit
    since: date | None
    until: date | None
    zone: str
    now: datetime

    def within(self, column: str) -> Q:
        """The condition that an instant lies in the days asked for."""
        return self.running(column, column)

    def running(self, start: str, end: str) -> Q:
        """The condition that what went on from an instant to another (null: still going on) touches those days."""
        condition = Q()
        if self.until is not None:
            condition &= Q(**{f"{start}__lt": end_of_day(self.until, self.zone)})
        if self.since is not None:
            begins = end_of_day(date.fromordinal(self.since.toordinal() - 1), self.zone)
            condition &= Q(**{f"{end}__gte": begins}) | Q(**{f"{end}__isnull": True})
        return condition


@dataclass(frozen=True)
class Column:
    """A column of a section's table; `share` is its part of the page's width."""

    title: Any
    share: float


def _no_files(_: Record) -> Iterable[str]:
    return ()


@dataclass(frozen=True, eq=False)
class Section:
    """One section: where it stands, what it reads, and how each record is written into a table.

    `name` names `records/<name>.json`; `place` orders the sections; `source` is the rule that asks for it, empty where
    none does; `empty` is the sentence where there is no record; `rows` are the lines that one record takes; `files`
    the SHA-256 of the kept files a record names, which go into `folder`. `note` says what the section leaves out.
    """

    name: str
    place: int
    title: Any
    empty: Any
    read: Callable[[FileScope], Iterator[Record]]
    columns: Sequence[Column]
    rows: Callable[[Record, Words], Iterable[Sequence[str]]]
    files: Callable[[Record], Iterable[str]] = _no_files
    folder: str = "photos"
    note: Any = ""
    source: str = ""

    def lines(self, record: Record, words: Words) -> list[Sequence[str]]:
        """The lines of one record; of one that cannot be shown one line that says so, in the widest column."""
        try:
            return list(self.rows(record, words))
        except Exception:  # whatever stands in one record, the others are written
            logger.exception("a record of section %s cannot be shown: %s", self.name, record.get("id"))
        said = _("Record {record} cannot be shown here. It is unchanged in records/{section}.json.")
        line = [""] * len(self.columns)
        widest = max(range(len(line)), key=lambda number: self.columns[number].share)
        line[widest] = said.format(record=record.get("id", ""), section=self.name)
        return [line]


def sections() -> tuple[Section, ...]:
    """All sections in the order of the file; ValueError where two have one name or one place."""
    return _in_order(contributed(Section))


@cache
def _in_order(parts: tuple[Section, ...]) -> tuple[Section, ...]:
    indexed((section.name, section) for section in parts)
    return tuple(section for _, section in sorted(indexed((section.place, section) for section in parts).items()))
