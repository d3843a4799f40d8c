import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from common.errors import DomainError, Invalid, Unreadable
from common.tables.csv_reading import read_csv
from common.tables.formulas import disarmed, rearmed
from common.tables.model import Limits, Table
from common.tables.writing import csv_chunks

LIMITS = Limits(max_bytes=10_000, max_rows=3, max_columns=4)


def refused(content: bytes) -> tuple[type[DomainError], str, dict[str, object]]:
    with pytest.raises(DomainError) as caught:
        read_csv(content, LIMITS)
    return type(caught.value), caught.value.code, dict(caught.value.facts)


def cells(table: Table) -> list[tuple[int, tuple[object, ...]]]:
    return [(row.number, row.cells) for row in table.rows]


def test_rows_filled_up_with_empty_cells_by_a_spreadsheet__mean_no_column() -> None:
    table = read_csv(b"a,b,,\r\n1,2,,\r\n1,,,\r\n1,2,3,\r\n", LIMITS)
    assert table.header == ("a", "b")
    assert [row.cells for row in table.rows] == [("1", "2"), ("1", ""), ("1", "2", "3")]


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"a,b\r\n1,2\r\n", [(2, ("1", "2"))]),
        (b"\xef\xbb\xbfa,b\n1,2", [(2, ("1", "2"))]),
        (b"a;b\r\n1,5;2\r\n", [(2, ("1,5", "2"))]),
        (b'a,b\r\n"x, ""y""\r\nz",2\r\n3,4\r\n', [(2, ('x, "y"\r\nz', "2")), (3, ("3", "4"))]),
        (b"a,b\r\n\r\n , \r\n007,\r\n", [(4, ("007", ""))]),
        (b"a,b\r\n1\r\n1,2,3\r\n", [(2, ("1",)), (3, ("1", "2", "3"))]),
        ("a,b\r\nNiño,é\r\n".encode(), [(2, ("Niño", "é"))]),
        (b"a,b\r\n'=1+1,'note\r\n", [(2, ("=1+1", "'note"))]),
    ],
    ids=["plain", "mark-and-lf", "semicolon", "quoted", "blank-rows-count", "ragged", "accents", "disarmed"],
)
def test_table__is_read_as_a_spreadsheet_numbers_it(content: bytes, expected: list[object]) -> None:
    table = read_csv(content, LIMITS)
    assert table.header == ("a", "b")
    assert cells(table) == expected


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"a,b\r\n\xff,2", (Unreadable, "table_not_utf8", {"position": 5})),
        ("a,b\r\nñ,2".encode("cp1252"), (Unreadable, "table_not_utf8", {"position": 5})),
        ("a,b\r\n1,2".encode("utf-16"), (Unreadable, "table_not_utf8", {"position": 0})),
        (b"a,b\r\n\xed\xa0\x80,2", (Unreadable, "table_not_utf8", {"position": 5})),
        (b"a,b\r\n1,2\r\n1,\x00\r\n", (Unreadable, "table_nul", {"line": 3})),
        (b"a,b;c\r\n1,2\r\n", (Unreadable, "table_delimiter_unclear", {})),
        (b'a,b\r\n1,2\r\n"1"x,2\r\n', (Unreadable, "table_malformed", {"row": 3})),
        (b'a,b\r\n1,"2\r\n', (Unreadable, "table_malformed", {"row": 2})),
        (b"\r\n", (Unreadable, "table_empty", {})),
        (b"a,b\r\n1,2\r\n1,2\r\n1,2\r\n1,2\r\n", (Invalid, "table_too_many_rows", {"max_rows": 3})),
        (b"a,b\r\n1,2\r\n\r\n,\r\n , \r\n,\r\n", (Invalid, "table_too_many_blank_rows", {"max_rows": 3})),
        (b"a,b\r\n1,2,3,4,5\r\n", (Invalid, "table_too_many_columns", {"max_columns": 4})),
        (b"a,b,c,d,e\r\n", (Invalid, "table_too_many_columns", {"max_columns": 4})),
    ],
    ids=[
        "bad-byte",
        "ansi",
        "utf-16",
        "surrogate",
        "nul",
        "both-delimiters",
        "stray-quote",
        "open-quote",
        "empty",
        "rows",
        "blank-rows",
        "columns-of-a-row",
        "columns",
    ],
)
def test_file_that_is_no_such_table__is_refused_with_the_place(content: bytes, expected: object) -> None:
    assert refused(content) == expected


@given(st.text())
@example("=1+1")
@example("'=1+1")
@example("''-x")
@example("'")
@example("'note")
@example("\n=1+1")
@example("\uff1d1+1")
@example("'\uff20SUM(1)")
def test_disarmed_text__begins_with_no_formula_and_is_given_back(text: str) -> None:
    written = disarmed(text)
    assert written[:1] not in {"=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20"}
    assert rearmed(written) == text


@given(st.lists(st.lists(st.text(st.characters(codec="utf-8", exclude_characters="\0")), min_size=2, max_size=2)))
def test_written_table__is_read_again_unchanged(rows: list[list[str]]) -> None:
    content = b"".join(csv_chunks(["a", "b"], rows))
    read = read_csv(content, Limits(max_bytes=1, max_rows=len(rows)))
    kept = [tuple(row) for row in rows if any(cell.strip() for cell in row)]
    assert [row.cells for row in read.rows] == kept
