"""A table as it was read: a header and rows of cells, and the limits it is read within. Knows no form of file."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

Cell = str | bool | Decimal | datetime | date
"""A text (empty for an empty cell); from a workbook also a flag, a number, a day, or a wall-clock time."""


@dataclass(frozen=True, slots=True)
class Limits:
    """The largest table that is read: bytes of the file, rows below the header."""

    max_bytes: int
    max_rows: int
    max_columns: int = 50


@dataclass(frozen=True, slots=True)
class Row:
    """One row by its number in the spreadsheet. `faults` are codes by position of the cell."""

    number: int
    cells: tuple[Cell, ...]
    faults: Mapping[int, str] = field(default_factory=dict)

    @property
    def is_blank(self) -> bool:
        """Whether nothing at all stands in it."""
        return not self.faults and not any(cell.strip() if isinstance(cell, str) else True for cell in self.cells)


@dataclass(frozen=True, slots=True)
class Table:
    """A header, and the rows below it that are not blank. A row may have another number of cells than the header."""

    header: tuple[str, ...]
    rows: tuple[Row, ...]
