"""Wrapping text into columns, and flowing rows over pages: nothing is lost, nothing is wider than its column."""

from typing import Any

import pytest
from reportlab.pdfbase import pdfmetrics

from fleet.services.records.unit_file.flow import BOLD, MOST_LINES, REGULAR, SIZE, RowsFlowable, grid_of, height, wrap

COLUMNS = [("When", 0.3), ("What", 0.7)]


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("", [""]),
        ("one", ["one"]),
        ("one\ntwo", ["one", "two"]),
        ("aaaa bbbb cccc", ["aaaa bbbb", "cccc"]),
        ("  spaced   out ", ["spaced out"]),
        ("señal número ¿qué? «año»", ["señal número", "¿qué? «año»"]),
        ("снег", ["????"]),
    ],
)
def test_wrap__lines_at_spaces_and_line_ends(text: str, lines: list[str]) -> None:
    assert wrap(text, 50, REGULAR, SIZE) == lines


def test_word_longer_than_the_column__is_broken_and_whole_again_when_joined() -> None:
    word = "0123456789abcdef" * 8
    lines = wrap(f"head {word} end", 60, BOLD, SIZE)
    assert "".join(lines).replace("head", "").replace("end", "") == word
    assert all(pdfmetrics.stringWidth(line, BOLD, SIZE) <= 60 for line in lines)


def test_rows__each_once_in_order_however_many_pages_they_take() -> None:
    grid = grid_of(COLUMNS, 300)
    cells = [(str(number), "word " * number) for number in range(120)]
    waiting: list[Any] = [RowsFlowable(grid, (lines for cell in cells for lines in grid.wrapped(cell)))]
    drawn: list[Any] = []
    pages = 0
    while waiting:
        page, *waiting = waiting[0].split(300, 200)
        assert page.height <= 200
        drawn += page.rows
        pages += 1
    assert [row[0][0] for row in drawn if row[0][0]] == [number for number, _ in cells]
    assert sum(" ".join(row[1]).count("word") for row in drawn) == sum(range(120))
    assert pages > 5


def test_row_of_more_lines_than_a_page_has__goes_on_in_the_next_row() -> None:
    grid = grid_of(COLUMNS, 300)
    rows = list(grid.wrapped(("1", "\n".join(str(line) for line in range(150)))))
    assert [len(row[1]) for row in rows] == [MOST_LINES, MOST_LINES, 30]
    assert [line for row in rows for line in row[1]] == [str(line) for line in range(150)]
    assert max(height(row) for row in rows) < 600


def test_page_with_no_room_for_a_row__is_left_to_the_next() -> None:
    grid = grid_of(COLUMNS, 300)
    assert RowsFlowable(grid, iter([[["a"], ["b"]]])).split(300, 20) == []
