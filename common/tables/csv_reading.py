"""Reading CSV (RFC 4180) without guessing: UTF-8, comma or semicolon, quotes as they should be. Knows no column."""

import csv
import io
from collections.abc import Iterator

from common.errors import Invalid, Unreadable
from common.tables.formulas import rearmed
from common.tables.model import Limits, Row, Table


def read_csv(content: bytes, limits: Limits) -> Table:
    """Return the table; a byte order mark is passed over, and what was put out of action on export is given back.

    Unreadable `table_not_utf8`, `table_nul`, `table_delimiter_unclear`, `table_malformed` (with the record's number),
    `table_empty`; Invalid `table_too_many_rows`, `table_too_many_blank_rows`, `table_too_many_columns`.
    """
    text = _decoded(content)
    records = _records(text, _delimiter(text))
    header = next(records, (1, []))[1]
    if not any(header):
        raise Unreadable("table_empty")
    _refuse_columns(header, limits)
    header = _without_filling(header, 1)
    rows: list[Row] = []
    for number, cells in records:
        _refuse_columns(cells, limits)
        if number - len(rows) - 1 > limits.max_rows:
            raise Invalid("table_too_many_blank_rows", max_rows=limits.max_rows)
        row = Row(number, tuple(rearmed(cell) for cell in _without_filling(cells, len(header))))
        if row.is_blank:
            continue
        if len(rows) >= limits.max_rows:
            raise Invalid("table_too_many_rows", max_rows=limits.max_rows)
        rows.append(row)
    return Table(tuple(rearmed(cell) for cell in header), tuple(rows))


def _refuse_columns(cells: list[str], limits: Limits) -> None:
    if len(cells) > limits.max_columns:
        raise Invalid("table_too_many_columns", max_columns=limits.max_columns)


def _without_filling(cells: list[str], columns: int) -> list[str]:
    """Without the empty cells beyond the columns with which a spreadsheet makes all its rows equally long."""
    end = len(cells)
    while end > columns and not cells[end - 1].strip():
        end -= 1
    return cells[:end]


def _decoded(content: bytes) -> str:
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise Unreadable("table_not_utf8", position=error.start) from error
    if "\0" in text:
        raise Unreadable("table_nul", line=text[: text.index("\0")].count("\n") + 1)
    return text


def _delimiter(text: str) -> str:
    """The one that stands in the first line: names of columns hold neither."""
    first = text.lstrip("\r\n").partition("\n")[0]
    found = [mark for mark in ",;" if mark in first]
    if len(found) > 1:
        raise Unreadable("table_delimiter_unclear")
    return found[0] if found else ","


def _records(text: str, delimiter: str) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    number = 0
    while True:
        number += 1
        try:
            yield number, next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            raise Unreadable("table_malformed", row=number) from error
