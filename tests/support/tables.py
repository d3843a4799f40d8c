"""Tables as a test writes them down, taken in through the services."""

import csv
import io
from collections.abc import Mapping, Sequence

from common.tables.writing import csv_chunks
from fleet.api.imports.forms import forms
from fleet.api.imports.reading import read_rows
from fleet.enums import ImportMode, RowOutcome
from fleet.models import Person
from fleet.services.imports.run import ImportReport, Table, import_rows
from tests.factories.fleet import NOON, TODAY

CHICAGO = "America/Chicago"


def csv_of(rows: Sequence[Mapping[str, object]]) -> bytes:
    """A CSV with the columns of the first row."""
    return b"".join(csv_chunks(list(rows[0]), [list(row.values()) for row in rows]))


def take_in(
    table: Table, content: bytes | Sequence[Mapping[str, object]], by: Person, mode: ImportMode = ImportMode.PARTIAL
) -> ImportReport:
    """Take a table in at noon."""
    given = content if isinstance(content, bytes) else csv_of(content)
    rows = read_rows(forms()[table], given, declared="", zone=CHICAGO)
    return import_rows(what=table, rows=rows, mode=mode, actor=by, now=NOON, today=TODAY)


def outcomes(report: ImportReport) -> dict[int, RowOutcome]:
    """What became of each row."""
    return {row.row: row.outcome for row in report.rows}


def problems(report: ImportReport) -> dict[int, list[tuple[str, str]]]:
    """Column and code of what is wrong, by row."""
    return {row.row: [(p.column, p.code) for p in row.problems] for row in report.rows if row.problems}


def changes(report: ImportReport) -> dict[int, list[tuple[str, object, object]]]:
    """What is changed, by row."""
    return {row.row: [(c.column, c.before, c.after) for c in row.changes] for row in report.rows if row.changes}


def records(content: bytes) -> list[dict[str, str]]:
    """What a strict reader finds in a CSV."""
    csv.field_size_limit(100_000_000)  # a catalogue is one cell
    return list(csv.DictReader(io.StringIO(content.decode(), newline=""), strict=True))
