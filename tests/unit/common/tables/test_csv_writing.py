"""What stands in a cell, and what becomes of a row that cannot be written."""

import datetime as dt
from collections.abc import Iterator
from decimal import Decimal
from uuid import UUID

import pytest

from common.tables.writing import cell_text, csv_chunks

KEY = UUID(int=7)
NOON = dt.datetime(2026, 3, 6, 12, tzinfo=dt.UTC)


@pytest.mark.parametrize(
    ("value", "text"),
    [
        ([KEY], f'["{KEY}"]'),
        ([], "[]"),
        (
            {"at": NOON, "on": NOON.date(), "value": Decimal("2.310")},
            '{"at": "2026-03-06T12:00:00Z", "on": "2026-03-06", "value": "2.310"}',
        ),
        (["=1+1"], '["=1+1"]'),
    ],
)
def test_lists_and_objects__are_json_whatever_is_in_them(value: object, text: str) -> None:
    assert cell_text(value) == text


def test_row_that_cannot_be_written__is_an_error_row_and_counted(caplog: pytest.LogCaptureFixture) -> None:
    class Odd:
        def __str__(self) -> str:
            raise ValueError("no text")

    content = b"".join(csv_chunks(["id", "odd"], [(1, "a"), (2, Odd()), (3, Odd()), (4, "d")])).decode()
    assert content.split("\r\n") == [
        "id,odd",
        "1,a",
        "2,ERROR: cannot be read",
        "3,ERROR: cannot be read",
        "4,d",
        "ERROR: cannot be read: 2",
        "",
    ]
    assert [str(record.exc_info[1]) for record in caplog.records if record.exc_info] == ["no text"] * 2


def test_source_that_breaks__is_no_error_row() -> None:
    """A database that is gone says nothing about the next row."""

    def rows() -> Iterator[tuple[int]]:
        yield (1,)
        raise ConnectionError

    with pytest.raises(ConnectionError):
        list(csv_chunks(["id"], rows()))
