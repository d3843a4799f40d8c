"""CSV as it is given out, against RFC 4180 section 2 (from memory of the published text), by readers not of this house.

Rules 1 and 2: each record ends with CRLF; 3 and 4: a header, and as many fields in each record; 6 and 7: fields with
line breaks, quotes or commas stand in quotes, and a quote inside is doubled.
"""

import csv
import io
import re

from common.tables.writing import csv_chunks

HEADER = ("a", "b", "c")
ROWS = (("plain", 'say "so"', "x,y"), ("two\r\nlines", "", "ñ"), ("=1+1", "+1 555", "@x"))

EXPECTED = b'a,b,c\r\nplain,"say ""so""","x,y"\r\n"two\r\nlines",,\xc3\xb1\r\n\'=1+1,\'+1 555,\'@x\r\n'
"""Typed by the rules above."""


def test_written_table__is_the_one_typed_by_the_rules() -> None:
    assert b"".join(csv_chunks(HEADER, ROWS)) == EXPECTED


def test_strict_reader__finds_the_same_number_of_fields_in_each_record() -> None:
    content = b"".join(csv_chunks(HEADER, ROWS)).decode()
    records = list(csv.reader(io.StringIO(content, newline=""), strict=True))
    assert [len(record) for record in records] == [3, 3, 3, 3]
    assert records[1:3] == [list(ROWS[0]), list(ROWS[1])]


def test_every_record__ends_with_both_characters_and_none_alone() -> None:
    content = b"".join(csv_chunks(HEADER, ROWS))
    assert content.endswith(b"\r\n")
    assert re.search(rb"(?<!\r)\n|\r(?!\n)", content) is None
