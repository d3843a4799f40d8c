"""Comma-separated text after RFC 4180, in which no cell can be taken for a formula. Knows no table of the service."""

import csv
from collections.abc import Iterable, Iterator, Sequence
from io import StringIO

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
"""What a spreadsheet program takes for the beginning of a formula or skips before one (common practice, no source)."""


def csv_lines(rows: Iterable[Sequence[object]]) -> Iterator[str]:
    """Give each row as one record, ended by CR LF; None is an empty cell, texts are made harmless."""
    buffer = StringIO()
    writer = csv.writer(buffer, lineterminator="\r\n")
    for row in rows:
        writer.writerow([harmless(cell) if isinstance(cell, str) else cell for cell in row])
        yield buffer.getvalue()
        buffer.seek(0)
        buffer.truncate()


def harmless(text: str) -> str:
    """Return a text with an apostrophe before it where a spreadsheet program would compute it instead of showing it."""
    return f"'{text}" if text.startswith(FORMULA_STARTS) else text
