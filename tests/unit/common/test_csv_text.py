"""Comma-separated text."""

import csv
from io import StringIO

import pytest

from common.csv_text import csv_lines, harmless


def test_line__is_quoted_and_ended_as_rfc_4180_says() -> None:
    assert list(csv_lines([["a", 1, None], ['say "x", y', "two\r\nlines", "é"]])) == [
        "a,1,\r\n",
        '"say ""x"", y","two\r\nlines",é\r\n',
    ]


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r"])
def test_text_that_begins_as_a_formula__has_an_apostrophe_before_it(start: str) -> None:
    text = f'{start}HYPERLINK("x")'
    assert harmless(text) == f"'{text}"
    [line] = csv_lines([[text]])
    assert next(csv.reader(StringIO(line, newline=""))) == [f"'{text}"]


@pytest.mark.parametrize("text", ["", "a=b", " =1", "'=1", "NL-11"])
def test_other_text__stays(text: str) -> None:
    assert harmless(text) == text


def test_number__is_no_text() -> None:
    assert list(csv_lines([[-3]])) == ["-3\r\n"]
