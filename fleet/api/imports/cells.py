"""From a cell to the value of its column: what a spreadsheet made of it is undone, or refused where that is a guess."""

import re
from collections.abc import Mapping
from datetime import date, datetime, time
from decimal import Decimal
from zoneinfo import ZoneInfo

from pydantic import ValidationError

from common.api.value_problems import code_of
from common.tables.model import Cell
from fleet.api.imports.columns import Column
from fleet.services.imports.plan import ColumnProblem

LARGEST_EXACT = Decimal(10) ** 15
"""From here on a spreadsheet no longer knows every digit of a number."""

_DIGITS = re.compile(r"\d+(\.\d+)?")
_WALL_CLOCK = re.compile(r"\d{4}-\d\d-\d\d[ T]\d\d:\d\d(:\d\d)?")
_FLAGS: Mapping[str, bool] = {"true": True, "yes": True, "false": False, "no": False}


class CellRefused(Exception):
    """A cell that is no value of its column."""

    def __init__(self, problem: ColumnProblem) -> None:
        super().__init__(f"{problem.column}: {problem.code}")
        self.problem = problem


def value_of(column: Column, cell: Cell, zone: ZoneInfo) -> object:
    """Return the value in a cell, None for an empty one; CellRefused. Times without an offset are those of `zone`."""
    plain = cell.strip() if isinstance(cell, str) else cell
    if plain == "":
        return None
    try:
        return column.reader.validate_python(_given(column, plain, zone))
    except ValidationError as error:
        raise CellRefused(_problem(column, error)) from error


def _given(column: Column, cell: Cell, zone: ZoneInfo) -> object:
    """What the column's kind is given: what a single entry would have had in JSON."""
    if column.type is datetime:
        return _instant(column, cell, zone)
    if column.type is date:
        return _day(column, cell)
    if column.type is bool:
        return _FLAGS.get(cell.lower(), cell) if isinstance(cell, str) else cell
    if column.type is int:
        return _whole(cell)
    if column.type is Decimal:
        return cell
    return _text(column, cell)


def _text(column: Column, cell: Cell) -> str:
    if isinstance(cell, str):
        return cell
    if isinstance(cell, date):
        raise _refused(column, "cell_is_date")
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if column.exact or abs(cell) >= LARGEST_EXACT:
        raise _refused(column, "cell_is_number")
    return format(cell, "f")


def _whole(cell: Cell) -> object:
    if isinstance(cell, str) and re.fullmatch(r"\d{1,18}", cell, re.ASCII):
        return int(cell)
    return int(cell) if isinstance(cell, Decimal) and cell == cell.to_integral_value() else cell


def _day(column: Column, cell: Cell) -> object:
    if isinstance(cell, datetime):
        if cell.time() != time(0):
            raise _refused(column, "cell_not_a_day")
        return cell.date().isoformat()
    if isinstance(cell, date):
        return cell.isoformat()
    _refuse_serial(column, cell)
    return cell


def _instant(column: Column, cell: Cell, zone: ZoneInfo) -> object:
    """An instant; one without an offset is taken for the carrier's own time, unless a time change makes it unclear."""
    _refuse_serial(column, cell)
    if isinstance(cell, str) and not _WALL_CLOCK.fullmatch(cell):
        return cell
    try:
        local = datetime.fromisoformat(cell) if isinstance(cell, str) else cell
    except ValueError:
        return cell
    if not isinstance(local, datetime):
        raise _refused(column, "cell_without_time")
    first, second = (local.replace(tzinfo=zone, fold=fold).utcoffset() for fold in (0, 1))
    if first != second:
        raise _refused(column, "cell_time_unclear")
    return local.replace(tzinfo=zone).isoformat()


def _refuse_serial(column: Column, cell: Cell) -> None:
    """A spreadsheet's number of a day says nothing without knowing from where it counts."""
    if isinstance(cell, Decimal) or (isinstance(cell, str) and _DIGITS.fullmatch(cell)):
        raise _refused(column, "date_is_number")


def _problem(column: Column, error: ValidationError) -> ColumnProblem:
    first = error.errors(include_url=False)[0]
    code = code_of(first)
    if code == "max_length":
        return ColumnProblem(column.name, "cell_too_long", {"max_length": first["ctx"]["text"].max_length})
    if code == "invalid_choice" and column.choices:
        return ColumnProblem(column.name, "cell_not_among_choices", {"allowed": list(column.choices)})
    return ColumnProblem(column.name, "cell_not_a_day" if code == "not_a_day" else code)


def _refused(column: Column, code: str) -> CellRefused:
    return CellRefused(ColumnProblem(column.name, code))
