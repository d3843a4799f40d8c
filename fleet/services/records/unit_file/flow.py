"""Tables that are read while they are drawn: rows of wrapped text that flow over pages below a repeated heading."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from reportlab.lib.colors import HexColor
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import Flowable

REGULAR, BOLD = "Vera", "VeraBd"
SIZE, LEADING, PADDING = 7.2, 8.8, 3.0
HEADING_FILL, RULE = HexColor("#e4e9ee"), HexColor("#b4bcc4")
MOST_LINES = 60
"""A row of more lines goes on in the next one, so that any row fits a page."""

Lines = list[list[str]]
"""One row: the lines of each cell."""

for _name in (REGULAR, BOLD):
    pdfmetrics.registerFont(TTFont(_name, f"{_name}.ttf"))


@dataclass(frozen=True)
class Grid:
    """The widths of the columns in points, and their titles."""

    widths: Sequence[float]
    titles: Lines

    def wrapped(self, cells: Sequence[str]) -> Iterator[Lines]:
        """A row's cells as lines that fit their columns, in as many rows as it takes."""
        lines = [wrap(cell, width - 2 * PADDING, REGULAR, SIZE) for cell, width in zip(cells, self.widths, strict=True)]
        for start in range(0, max(1, *(len(cell) for cell in lines)), MOST_LINES):
            yield [cell[start : start + MOST_LINES] for cell in lines]


class RowsFlowable(Flowable):
    """The rest of a table: takes from its rows what fits the page, and leaves the rest to a new one on the next.

    `first` is the row already taken from them, if one was.
    """

    def __init__(self, grid: Grid, rows: Iterator[Lines], first: Lines | None = None) -> None:
        super().__init__()
        self.grid, self._rows = grid, rows
        self._next = next(rows, None) if first is None else first

    def wrap(self, aW: float, _aH: float) -> tuple[float, float]:  # noqa: N803 - the framework's names
        """More than any page, so that it is always asked to split."""
        return aW, 1e6

    def split(self, _aW: float, aH: float) -> list[Flowable]:  # noqa: N803 - the framework's names
        """What fits, and what comes after it; nothing where not even one row fits."""
        left = aH - height(self.grid.titles)
        fitting: list[Lines] = []
        while self._next is not None and height(self._next) <= left:
            left -= height(self._next)
            fitting.append(self._next)
            self._next = next(self._rows, None)
        if not fitting:
            return []
        drawn = DrawnRows(self.grid, fitting)
        return [drawn] if self._next is None else [drawn, RowsFlowable(self.grid, self._rows, self._next)]


class DrawnRows(Flowable):
    """The rows of one page below their headings."""

    def __init__(self, grid: Grid, rows: Sequence[Lines]) -> None:
        super().__init__()
        self.grid, self.rows = grid, rows
        self.width = sum(grid.widths)
        self.height = height(grid.titles) + sum(height(row) for row in rows)

    def wrap(self, _aW: float, _aH: float) -> tuple[float, float]:  # noqa: N803 - the framework's names
        return self.width, self.height

    def draw(self) -> None:
        """Draw the headings and every row with a rule below it."""
        top = self.height
        self.canv.setFillColor(HEADING_FILL)
        self.canv.rect(0, top - height(self.grid.titles), self.width, height(self.grid.titles), stroke=0, fill=1)
        self.canv.setFillColor(HexColor("#000000"))
        self.canv.setStrokeColor(RULE)
        self.canv.setLineWidth(0.5)
        for row, font in ((self.grid.titles, BOLD), *((row, REGULAR) for row in self.rows)):
            self._row(row, top, font)
            top -= height(row)
            self.canv.line(0, top, self.width, top)

    def _row(self, row: Lines, top: float, font: str) -> None:
        left = 0.0
        for cell, width in zip(row, self.grid.widths, strict=True):
            text = self.canv.beginText(left + PADDING, top - PADDING - SIZE)
            text.setFont(font, SIZE, LEADING)
            text.textLines(cell)
            self.canv.drawText(text)
            left += width


def grid_of(columns: Sequence[tuple[str, float]], width: float) -> Grid:
    """The grid of columns given as title and share of the width."""
    widths = [share * width for _, share in columns]
    titles = [wrap(title, share * width - 2 * PADDING, BOLD, SIZE) for title, share in columns]
    return Grid(widths, titles)


def height(row: Lines) -> float:
    """How high a row of lines is, in points."""
    return max(1, *(len(cell) for cell in row)) * LEADING + 2 * PADDING


def wrap(text: str, width: float, font: str, size: float) -> list[str]:
    """The lines of a text that fit a width; a word that is too long is broken, what the font lacks becomes `?`."""
    lines: list[str] = []
    for paragraph in _drawable(text, font).split("\n"):
        line = ""
        for word in paragraph.split():
            longer = f"{line} {word}" if line else word
            if pdfmetrics.stringWidth(longer, font, size) <= width:
                line = longer
                continue
            if line:
                lines.append(line)
            *pieces, line = _broken(word, width, font, size)
            lines += pieces
        lines.append(line)
    return lines


def _broken(word: str, width: float, font: str, size: float) -> list[str]:
    pieces = [""]
    for character in word:
        if pieces[-1] and pdfmetrics.stringWidth(pieces[-1] + character, font, size) > width:
            pieces.append("")
        pieces[-1] += character
    return pieces


def _drawable(text: str, font: str) -> str:
    known = _glyphs(font)
    return "".join(character if character == "\n" or ord(character) in known else "?" for character in text)


@cache
def _glyphs(font: str) -> frozenset[int]:
    return frozenset(pdfmetrics.getFont(font).face.charToGlyph)
