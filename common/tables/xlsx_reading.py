"""Reading one sheet of an XLSX workbook by a kept reader, once its parts were looked at. Knows no column."""

import datetime as dt
import io
from collections.abc import Sequence
from decimal import Decimal
from math import isfinite

from python_calamine import CalamineError, CalamineWorkbook

from common.errors import Invalid, Unreadable
from common.tables.formulas import rearmed
from common.tables.model import Cell, Limits, Row, Table
from common.tables.xlsx_cells import Faults, sheet_faults
from common.tables.xlsx_parts import repacked, sheet_and_parts
from common.tables.xlsx_walk import BROKEN

_SIGNIFICANT = ".15g"
"""Digits that a spreadsheet keeps of a number."""


def read_xlsx(content: bytes, sheet: str, limits: Limits) -> Table:
    """Return the table on the sheet of that name, or on the only sheet.

    Unreadable `table_not_xlsx`, `table_empty`; Invalid `table_header_computed`, and as `sheet_and_parts` and
    `sheet_faults`. Formulas and errors are faults of their cells.
    """
    name, part, parts = sheet_and_parts(content, sheet)
    faults = sheet_faults(parts, part, limits)
    plain = repacked(parts)
    del parts
    return _table(_lines(plain, name), faults, limits)


def _lines(content: bytes, sheet: str) -> Sequence[Sequence[object]]:
    try:
        with CalamineWorkbook.from_filelike(io.BytesIO(content)) as book:
            return book.get_sheet_by_name(sheet).to_python(skip_empty_area=False)
    except CalamineError as error:
        raise Unreadable(BROKEN) from error


def _table(lines: Sequence[Sequence[object]], faults: Faults, limits: Limits) -> Table:
    header = [str(cell).strip() for cell in lines[0]] if lines else []
    while header and not header[-1]:
        header.pop()
    if not header:
        raise Unreadable("table_empty")
    if 0 in faults:
        raise Invalid("table_header_computed")
    rows = []
    for index, line in enumerate(lines[1:], start=1):
        row = Row(index + 1, _cells(line, len(header)), faults.get(index, {}))
        if not row.is_blank:
            rows.append(row)
    if len(rows) > limits.max_rows:
        raise Invalid("table_too_many_rows", max_rows=limits.max_rows)
    return Table(tuple(header), tuple(rows))


def _cells(line: Sequence[object], columns: int) -> tuple[Cell, ...]:
    """The cells of a line; empty ones past the header are only how a sheet is laid out."""
    cells = [_cell(value) for value in line]
    while len(cells) > columns and cells[-1] == "":
        cells.pop()
    return tuple(cells)


def _cell(value: object) -> Cell:
    if isinstance(value, bool | dt.date):  # a datetime is a date too
        return value
    if isinstance(value, int | float) and isfinite(value):
        return _number(value)
    if isinstance(value, dt.time | dt.timedelta):
        return str(value)
    return rearmed(str(value))


def _number(value: float) -> Decimal:
    """What the sheet shows of a number: 11 for 11.0, and no digits that only the machine's arithmetic made."""
    number = Decimal(format(value, _SIGNIFICANT))
    return number.to_integral_value() if number == number.to_integral_value() else number
