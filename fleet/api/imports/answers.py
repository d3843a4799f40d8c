"""What an import says: how many rows became what, and about each row what it names, changes, or is refused for."""

from typing import Annotated, Self
from uuid import UUID

from pydantic import Field

from common import messages
from common.api.answers import Answer
from common.api.values import Choice, Word
from common.canonical import plain
from common.messages import Message, current_language
from fleet.api.imports.columns import Column
from fleet.enums import ImportMode, RowOutcome
from fleet.services.imports.plan import Change, ColumnProblem, RowReport
from fleet.services.imports.run import ImportReport, Table


class ColumnAnswer(Answer):
    """A column of a table that can be taken in."""

    name: str
    needed: bool = Field(description="No row can do without it.")
    choices: list[str] = Field(description="All that may stand there; empty: any.")
    example: str
    help: str

    @classmethod
    def of_column(cls, column: Column) -> Self:
        """Return a column in the language in force."""
        return cls.of(column, choices=list(column.choices), help=str(column.help))


class ChangeAnswer(Answer):
    """A column that is changed; values as texts, null for none."""

    column: str
    before: str | None
    after: str | None

    @classmethod
    def of_change(cls, change: Change) -> Self:
        """Return a change with its values as texts."""
        return cls(column=change.column, before=_text(change.before), after=_text(change.after))


class RowProblemAnswer(Answer):
    """What is wrong in a row: the column (empty for the whole row), the rule, and the sentence to read."""

    column: str
    code: str
    detail: str

    @classmethod
    def of_problem(cls, problem: ColumnProblem) -> Self:
        """Return a problem in the language in force."""
        return cls.of(problem, detail=messages.render(Message(problem.code, problem.facts), current_language()))


class RowReportAnswer(Answer):
    """What becomes of a row, by its number in the spreadsheet; the header is row 1."""

    row: int
    outcome: Annotated[str, Word(RowOutcome)]
    name: str = Field(description="The record that the row names, as people call it.")
    id: UUID | None = Field(description="Null for a record that was not there before.")
    changes: list[ChangeAnswer]
    problems: list[RowProblemAnswer]

    @classmethod
    def of_row(cls, row: RowReport) -> Self:
        """Return what becomes of a row in the language in force."""
        changes = [ChangeAnswer.of_change(change) for change in row.changes]
        problems = [RowProblemAnswer.of_problem(problem) for problem in row.problems]
        return cls.of(row, id=row.key, changes=changes, problems=problems)


class CountsAnswer(Answer):
    """How many rows became what."""

    created: int
    flagged: int = Field(description="Created too, with what is odd about each.")
    changed: int
    unchanged: int
    refused: int = Field(description="All of them; at most 1,000 are listed.")
    example: int


class ImportAnswer(Answer):
    """What an import did; after a dry run, what it would have done."""

    table: Annotated[str, Choice(Table)]
    mode: Annotated[str, Word(ImportMode)]
    applied: bool
    counts: CountsAnswer
    rows: list[RowReportAnswer]

    @classmethod
    def of_report(cls, report: ImportReport) -> Self:
        return cls.of(report, table=report.what, rows=[RowReportAnswer.of_row(row) for row in report.rows])


def _text(value: object) -> str | None:
    return None if value is None else str(plain(value))
