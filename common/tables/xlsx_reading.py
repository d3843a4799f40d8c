"""Reading one sheet of an XLSX workbook by a kept reader, once its parts were looked at. Knows no column."""

import datetime as dt
import io
from collections.abc import Mapping
from decimal import Decimal

from python_calamine import CalamineError, CalamineWorkbook

from common.errors import Invalid, TooLarge, Unreadable
from common.tables.formulas import rearmed
from common.tables.model import Cell, Limits, Row, Table
from common.tables.xlsx_parts import BROKEN, Faults, refuse_entities, repacked, sheet_faults, sheet_parts, unpacked

_SIGNIFICANT = ".15g"
"""Digits that a spreadsheet keeps of a number."""


def read_xlsx(content: bytes, sheet: str, limits: Limits) -> Table:
    """Return the table on the sheet of that name, or on the only sheet.

    Unreadable `table_not_xlsx`, `table_empty`; TooLarge `table_unpacks_too_large`, `table_too_many_rows`,
    `table_too_many_columns`; Invalid `table_sheet_missing`. Formulas and errors are faults of their cells.
    """
    parts = unpacked(content)
    refuse_entities(parts)
    sheets = sheet_parts(parts)
    name = sheet if sheet in sheets else next(iter(sheets), "")
    if name != sheet and len(sheets) != 1:
        raise Invalid("table_sheet_missing", sheet=sheet)
    part = parts.get(sheets[name])
    if part is None:
        raise Unreadable(BROKEN)
    faults = sheet_faults(part, limits)
    return _table(_lines(repacked(parts), name), faults, limits)


def _lines(content: bytes, sheet: str) -> list[list[object]]:
    try:
        with CalamineWorkbook.from_filelike(io.BytesIO(content)) as book:
            return [list(line) for line in book.get_sheet_by_name(sheet).to_python(skip_empty_area=False)]
    except CalamineError as error:
        raise Unreadable(BROKEN) from error


def _table(lines: list[list[object]], faults: Faults, limits: Limits) -> Table:
    header = [str(cell).strip() for cell in lines[0]] if lines else []
    while header and not header[-1]:
        header.pop()
    if not header:
        raise Unreadable("table_empty")
    by_row: dict[int, dict[int, str]] = {}
    for (place, column), code in faults.items():
        by_row.setdefault(place, {})[column] = code
    if 0 in by_row:
        raise Invalid("table_header_computed")
    rows = []
    for index, line in enumerate(lines[1:], start=1):
        row = Row(index + 1, _cells(line, len(header)), _within(by_row.get(index, {})))
        if not row.is_blank:
            rows.append(row)
    if len(rows) > limits.max_rows:
        raise TooLarge("table_too_many_rows", max_rows=limits.max_rows)
    return Table(tuple(header), tuple(rows))


def _cells(line: list[object], columns: int) -> tuple[Cell, ...]:
    """The cells of a line; empty ones past the header are only how a sheet is laid out."""
    cells = [_cell(value) for value in line]
    while len(cells) > columns and cells[-1] == "":
        cells.pop()
    return tuple(cells)


def _within(faults: Mapping[int, str]) -> Mapping[int, str]:
    return dict(sorted(faults.items()))


def _cell(value: object) -> Cell:
    if isinstance(value, bool | dt.date):  # a datetime is a date too
        return value
    if isinstance(value, int | float):
        return _number(value)
    if isinstance(value, dt.time | dt.timedelta):
        return str(value)
    return rearmed(str(value))


def _number(value: float) -> Decimal:
    """What the sheet shows of a number: 11 for 11.0, and no digits that only the machine's arithmetic made."""
    number = Decimal(format(value, _SIGNIFICANT))
    return number.to_integral_value() if number == number.to_integral_value() else number
