"""What every import is made of: given rows, their reports, and the plan that judges each row and then writes.

One subclass of `Plan` for each table says what a row means; the records are written by the writers of each noun.
"""

from abc import ABC, abstractmethod
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import TypeVar
from uuid import UUID

from common.errors import DomainError
from fleet.enums import RowOutcome
from fleet.models import Person

BATCH = 500
"""Rows written in one round of statements: large enough to be fast, small enough to stay within memory."""

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class ColumnProblem:
    """What is wrong in one column of a row ("" for all of it): the code of the rule, and facts for its words."""

    column: str
    code: str
    facts: Mapping[str, object] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class ImportRow:
    """A row by its number in the spreadsheet, with the sound values of its filled cells by column.

    A row with problems is refused, whatever else stands in it; the template's own example is left out.
    """

    number: int
    values: Mapping[str, object]
    problems: tuple[ColumnProblem, ...] = ()
    is_example: bool = False


@dataclass(frozen=True, slots=True)
class Change:
    """One column that a row changes, with what was there before."""

    column: str
    before: object
    after: object


@dataclass(frozen=True, slots=True)
class RowReport:
    """What becomes of a row: the record that it names and its key, where there is one, and why it is refused."""

    row: int
    outcome: RowOutcome
    name: str = ""
    key: UUID | None = None
    changes: tuple[Change, ...] = ()
    problems: tuple[ColumnProblem, ...] = ()


@dataclass(frozen=True, slots=True)
class ImportContext:
    """Who imports, at which instant and on which day of the carrier's, and whether rows are locked to be written."""

    actor: Person
    now: datetime
    today: date
    locking: bool


class Refused(Exception):
    """A row that cannot be taken, with all that is wrong with it."""

    def __init__(self, *problems: ColumnProblem) -> None:
        super().__init__(", ".join(f"{problem.column}: {problem.code}" for problem in problems))
        self.problems = problems


def refusal(error: DomainError) -> Refused:
    """Return what a service would have said of a single entry, by column."""
    if not error.problems:
        return Refused(ColumnProblem("", error.code, error.facts))
    return Refused(*(ColumnProblem(p.pointer.strip("/"), p.code, p.facts) for p in error.problems))


def changes_between(before: Mapping[str, object], after: Mapping[str, object]) -> tuple[Change, ...]:
    """Return the columns given in `after` that differ from those on record."""
    return tuple(Change(name, before[name], value) for name, value in after.items() if before[name] != value)


def batches(rows: Sequence[T]) -> Iterator[Sequence[T]]:
    """Return the rows in slices of `BATCH`."""
    return (rows[start : start + BATCH] for start in range(0, len(rows), BATCH))


class Named:
    """Remembers which record each row named, so that none is named by two."""

    def __init__(self) -> None:
        self._rows: dict[object, int] = {}

    def add(self, name: object, row: int) -> None:
        """Refused `row_twice` with the number of the first row."""
        first = self._rows.setdefault(name, row)
        if first != row:
            raise Refused(ColumnProblem("", "row_twice", {"first": first}))


class Plan(ABC):
    """A table judged against what is on record: `reports` says what becomes of each row, `write` does it.

    Everything is read and judged when the plan is made. A row that came with problems is refused without being judged.
    """

    def __init__(self, rows: Sequence[ImportRow], context: ImportContext) -> None:
        self.context = context
        self.named = Named()
        self.read([row for row in rows if not row.problems])
        self.reports: Sequence[RowReport] = sorted(
            (self._report(row) for row in self.in_order(rows)), key=lambda report: report.row
        )

    @abstractmethod
    def read(self, rows: Sequence[ImportRow]) -> None:
        """Read what these rows are compared with, locked where they are to be written."""

    @abstractmethod
    def judge(self, row: ImportRow) -> RowReport:
        """Return what becomes of a row and keep what is to be written; Refused, or what a service would raise."""

    @abstractmethod
    def write(self) -> None:
        """Write what is created and changed; rows that were refused are passed over."""

    def in_order(self, rows: Sequence[ImportRow]) -> Sequence[ImportRow]:
        return rows

    def _report(self, row: ImportRow) -> RowReport:
        problems = row.problems
        try:
            return RowReport(row.number, RowOutcome.REFUSED, problems=problems) if problems else self.judge(row)
        except Refused as refused:
            problems = refused.problems
        except DomainError as error:
            problems = refusal(error).problems
        return RowReport(row.number, RowOutcome.REFUSED, problems=problems)
