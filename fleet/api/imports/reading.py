"""From a file that somebody filled in to rows of values. What the records are, is judged in services."""

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import IO
from zoneinfo import ZoneInfo

from django.conf import settings

from common.errors import FieldProblem, Invalid, TooLarge
from common.tables.model import Limits, Row, Table
from common.tables.reading import read_table
from fleet.api.imports.cells import CellRefused, value_of
from fleet.api.imports.columns import Column, TableForm
from fleet.api.requests.files import FileParser
from fleet.services.imports.plan import ColumnProblem, ImportRow


def read_rows(form: TableForm, content: bytes, *, declared: str, zone: str) -> list[ImportRow]:
    """Return the rows of a file, each with its values or all that is wrong with its cells.

    Raises as `common.tables.reading.read_table`, and Invalid `table_header_refused` with a problem for each column
    that is unknown, named twice, or missing. `declared` is the media type that the file was announced with.
    """
    limits = Limits(max_bytes=settings.IMPORT_MAX_BYTES, max_rows=settings.IMPORT_MAX_ROWS)
    table = read_table(content, declared=declared, sheet=form.table.value, limits=limits)
    columns = _columns(form, table)
    example = tuple(form.example)
    in_zone = ZoneInfo(zone)
    is_template = columns == list(form.columns)
    return [
        ImportRow(row.number, {}, is_example=True)
        if is_template and row.cells == example
        else _given(row, columns, in_zone)
        for row in table.rows
    ]


def _columns(form: TableForm, table: Table) -> list[Column]:
    """The column under each position of the header."""
    names = [name.strip().lower() for name in table.header]
    known = form.by_name
    problems = [
        FieldProblem(f"/header/{position}", "column_unknown", {"column": name or "-", "known": sorted(known)})
        for position, name in enumerate(names, start=1)
        if name not in known
    ]
    problems += [
        FieldProblem("/header", "column_twice", {"column": name}) for name, count in Counter(names).items() if count > 1
    ]
    problems += [
        FieldProblem("/header", "column_missing", {"column": column.name})
        for column in form.columns
        if column.needed and column.name not in names
    ]
    if problems:
        raise Invalid("table_header_refused", problems=problems)
    return [known[name] for name in names]


def _given(row: Row, columns: Sequence[Column], zone: ZoneInfo) -> ImportRow:
    """What a row says. Where its cells do not fit the header, none of them is looked at: they may all be shifted."""
    if len(row.cells) != len(columns):
        facts = {"expected": len(columns), "found": len(row.cells)}
        return ImportRow(row.number, {}, (ColumnProblem("", "row_ragged", facts),))
    values: dict[str, object] = {}
    problems: list[ColumnProblem] = []
    for position, (column, cell) in enumerate(zip(columns, row.cells, strict=True)):
        fault = row.faults.get(position)
        if fault is not None:
            problems.append(ColumnProblem(column.name, fault))
            continue
        try:
            value = value_of(column, cell, zone)
        except CellRefused as refused:
            problems.append(refused.problem)
            continue
        if value is not None:
            values[column.name] = value
        elif column.needed:
            problems.append(ColumnProblem(column.name, "required"))
    return ImportRow(row.number, values, tuple(problems))


class TableParser(FileParser):
    """A table to be taken in, as bytes; TooLarge `table_too_large`."""

    def parse(  # type: ignore[override]  # a file is no mapping
        self, stream: IO[bytes], media_type: str | None = None, parser_context: Mapping[str, object] | None = None
    ) -> bytes:
        """Return the whole body."""
        content = stream.read(settings.IMPORT_MAX_BYTES + 1)
        if len(content) > settings.IMPORT_MAX_BYTES:
            raise TooLarge("table_too_large", max_bytes=settings.IMPORT_MAX_BYTES)
        return content
