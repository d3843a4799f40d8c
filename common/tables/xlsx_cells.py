"""What is looked at in a sheet before its reader sees it: where each cell stands, how much text, formulas and errors.

A reader lays out every cell between the first and the last, and a text that is shared anew for each cell that shows it,
so a small file could take all memory there is.
"""

import re
from collections.abc import Mapping
from typing import Final

from common.errors import Invalid, Unreadable
from common.tables.model import Limits
from common.tables.xlsx_parts import STRINGS, Parts
from common.tables.xlsx_walk import BROKEN, Walk

_ROW: Final = re.compile(r"[1-9][0-9]{0,6}")
_CELL: Final = re.compile(r"([A-Z]{1,3})([1-9][0-9]{0,6})")
_TEXT: Final = frozenset({"v", "t"})
_MAX_INDEX_DIGITS: Final = 7

Faults = Mapping[int, Mapping[int, str]]
"""By row and column, both from 0: `cell_formula` or `cell_error`."""


def sheet_faults(parts: Parts, sheet: str, limits: Limits) -> Faults:
    """Return the cells of a sheet that hold no plain value; it stands in the part of that name.

    Unreadable `table_not_xlsx`; Invalid `table_too_complex`, `table_cells_misplaced`, `table_too_many_rows`,
    `table_too_many_columns`, `table_too_much_text`.
    """
    scan = _Scan(limits)
    for name in (STRINGS, sheet):
        if name in parts:
            scan.part = name
            scan.in_sheet = name == sheet
            scan.walk(parts[name])
    return scan.faults


class _Scan(Walk):
    """Follows rows and cells. One without a place of its own comes after the one before; none comes before it."""

    def __init__(self, limits: Limits) -> None:
        super().__init__()
        self.faults: dict[int, dict[int, str]] = {}
        self.part, self.in_sheet = "", False
        self._limits = limits
        self._lengths: list[int] = []
        self._row = self._column = -1
        self._kind, self._index = "", ""
        self._in_text = False
        self._had = 0

    def opened(self, tag: str, attributes: Mapping[str, str]) -> None:
        if tag in _TEXT:
            self._in_text, self._index = True, ""
        if self.in_sheet:
            self._opened_in_sheet(tag, attributes)
        elif tag == "si" and self.part == STRINGS:
            self._lengths.append(0)

    def said(self, text: str) -> None:
        if not self._in_text:
            return
        self._count(len(text))
        if not self.in_sheet and self._lengths:
            self._lengths[-1] += len(text)
        elif self._kind == "s":
            self._index += text[: _MAX_INDEX_DIGITS + 1]

    def closed(self, tag: str) -> None:
        if tag not in _TEXT:
            return
        self._in_text = False
        if self.in_sheet and self._kind == "s" and tag == "v":
            self._count(self._length_of(self._index))

    def _opened_in_sheet(self, tag: str, attributes: Mapping[str, str]) -> None:
        if tag == "row":
            self._begin_row(attributes.get("r"))
        elif tag == "c":
            self._begin_cell(attributes.get("r"))
            self._kind = attributes.get("t", "")
        elif tag in {"v", "is"}:
            self._refuse_far_away()
            if self._kind == "e":
                self.faults.setdefault(self._row, {}).setdefault(self._column, "cell_error")
        elif tag == "f":
            self._refuse_far_away()
            self.faults.setdefault(self._row, {})[self._column] = "cell_formula"

    def _begin_row(self, place: str | None) -> None:
        row = self._row + 1
        if place is not None:
            if _ROW.fullmatch(place) is None or int(place) - 1 < row:
                raise Invalid("table_cells_misplaced", row=self._row + 2)
            row = int(place) - 1
        self._row, self._column = row, -1

    def _begin_cell(self, place: str | None) -> None:
        column = self._column + 1
        if place is not None:
            found = _CELL.fullmatch(place)
            if found is None or int(found[2]) - 1 != self._row or _number(found[1]) - 1 < column:
                raise Invalid("table_cells_misplaced", row=self._row + 1)
            column = _number(found[1]) - 1
        self._column = column

    def _refuse_far_away(self) -> None:
        if self._row < 0 or self._column < 0:
            raise Unreadable(BROKEN)
        if self._row > self._limits.max_rows:
            raise Invalid("table_too_many_rows", max_rows=self._limits.max_rows)
        if self._column >= self._limits.max_columns:
            raise Invalid("table_too_many_columns", max_columns=self._limits.max_columns)

    def _length_of(self, index: str) -> int:
        if not index.isascii() or not index.isdigit() or not 0 <= int(index) < len(self._lengths):
            raise Unreadable(BROKEN)
        return self._lengths[int(index)]

    def _count(self, characters: int) -> None:
        """No more text than the largest file that is taken could hold as it is."""
        self._had += characters
        if self._had > self._limits.max_bytes:
            raise Invalid("table_too_much_text", max_characters=self._limits.max_bytes)


def _number(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number
