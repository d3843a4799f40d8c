import datetime as dt
import io
import random
import re
import struct
import tracemalloc
import zipfile
from decimal import Decimal

import pytest

from common.errors import DomainError, Invalid, TooLarge, Unreadable
from common.tables.model import Limits
from common.tables.reading import CSV, XLSX, read_table
from common.tables.xlsx_parts import MAX_UNPACKED
from tests.support.workbooks import MAIN, raw_workbook, text_cell, workbook, zipped

LIMITS = Limits(max_bytes=20_000_000, max_rows=3, max_columns=4)
HEADER = f'<row r="1">{text_cell("A1", "number")}{text_cell("B1", "plate")}</row>'


def refused(content: bytes, declared: str = XLSX) -> tuple[type[DomainError], str]:
    with pytest.raises(DomainError) as caught:
        read_table(content, declared=declared, sheet="units", limits=LIMITS)
    return type(caught.value), caught.value.code


def test_cells__come_as_what_they_are_and_whole_numbers_without_a_point() -> None:
    day = dt.date(2026, 3, 2)
    content = workbook({"units": [["number", "plate", "day", "tank"], [11, "0012", day, 12.5], [], ["NL-2"]]})
    table = read_table(content, declared=XLSX, sheet="units", limits=LIMITS)
    assert table.header == ("number", "plate", "day", "tank")
    assert [(row.number, row.cells) for row in table.rows] == [
        (2, (Decimal(11), "0012", day, Decimal("12.5"))),
        (4, ("NL-2", "", "", "")),
    ]
    assert str(table.rows[0].cells[0]) == "11"


def test_sheet__is_found_by_its_name_or_is_the_only_one() -> None:
    rows = [["number"], ["NL-1"]]
    for sheets in ({"guide": [["x"]], "units": rows}, {"Sheet1": rows}):
        table = read_table(workbook(sheets), declared="", sheet="units", limits=LIMITS)
        assert table.rows[0].cells == ("NL-1",)
    assert refused(workbook({"one": rows, "two": rows})) == (Invalid, "table_sheet_missing")


def test_formula_and_error__are_faults_of_their_cells_whatever_value_they_show() -> None:
    cells = '<c r="A2"><f>1+1</f><v>2</v></c><c r="B2" t="e"><v>#N/A</v></c>'
    content = raw_workbook(f'{HEADER}<row r="2">{cells}</row><row r="3">{text_cell("B3", "ok")}</row>')
    table = read_table(content, declared=XLSX, sheet="units", limits=LIMITS)
    assert [(row.number, dict(row.faults)) for row in table.rows] == [
        (2, {0: "cell_formula", 1: "cell_error"}),
        (3, {}),
    ]


def test_formula_in_the_header__refuses_the_file() -> None:
    content = raw_workbook('<row r="1"><c r="A1" t="str"><f>"number"</f><v>number</v></c></row>')
    assert refused(content) == (Invalid, "table_header_computed")


@pytest.mark.parametrize(
    ("place", "expected"), [("A1048576", "table_too_many_rows"), ("XFD2", "table_too_many_columns")]
)
def test_cell_far_away__is_refused_before_a_reader_lays_out_all_between(place: str, expected: str) -> None:
    number = place.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    content = raw_workbook(f'{HEADER}<row r="{number}">{text_cell(place, "x")}</row>')
    assert refused(content) == (Invalid, expected)


def test_empty_cell_far_away__is_only_how_the_sheet_looks() -> None:
    content = raw_workbook(
        f'{HEADER}<row r="2">{text_cell("A2", "NL-1")}</row><row r="1048576"><c r="XFD1048576" s="0"/></row>'
    )
    table = read_table(content, declared=XLSX, sheet="units", limits=LIMITS)
    assert [row.cells for row in table.rows] == [("NL-1", "")]


def test_prefixed_names_cells_without_places_and_texts_in_runs__are_read() -> None:
    texts = f'<x:sst xmlns:x="{MAIN}"><x:si><x:r><x:t>NL</x:t></x:r><x:r><x:t>-1</x:t></x:r></x:si></x:sst>'
    rows = '<row><c t="inlineStr"><is><t>number</t></is></c></row><row><c t="s"><v>0</v></c></row><row r="4"/>'
    table = read_table(
        raw_workbook(rows, others={"xl/sharedStrings.xml": texts}), declared="", sheet="units", limits=LIMITS
    )
    assert (table.header, [(row.number, row.cells) for row in table.rows]) == (("number",), [(2, ("NL-1",))])


def test_other_sheets_and_whatever_else_a_workbook_holds__are_never_unpacked() -> None:
    others = {"xl/worksheets/sheet2.xml": "no XML", "xl/media/image1.png": "x", "docProps/app.xml": "no XML"}
    content = raw_workbook(f'{HEADER}<row r="2">{text_cell("A2", "NL-1")}</row>', others=others)
    assert read_table(content, declared="", sheet="units", limits=LIMITS).rows[0].cells == ("NL-1", "")


@pytest.mark.parametrize("value", ["nan", "inf", "-inf", "1e999"])
def test_number_that_is_none__is_a_text(value: str) -> None:
    content = raw_workbook(f'{HEADER}<row r="2"><c r="A2"><v>{value}</v></c></row>')
    assert isinstance(read_table(content, declared="", sheet="units", limits=LIMITS).rows[0].cells[0], str)


@pytest.mark.parametrize(
    ("rows", "number"),
    [
        ('<row r="3"/><row r="2"/>', 4),
        ('<row r="2"/><row r="2"/>', 3),
        (f'<row r="2">{text_cell("A3", "x")}</row>', 2),
        (f'<row r="2">{text_cell("B2", "x")}{text_cell("A2", "x")}</row>', 2),
        (f'<row r="2">{text_cell("A2", "x")}{text_cell("A2", "x")}</row>', 2),
        ('<row r="0"/>', 2),
        ('<row r="+2"/>', 2),
    ],
)
def test_rows_or_cells_out_of_order__are_refused_with_the_row(rows: str, number: int) -> None:
    with pytest.raises(Invalid) as caught:
        read_table(raw_workbook(HEADER + rows), declared="", sheet="units", limits=LIMITS)
    assert (caught.value.code, caught.value.facts) == ("table_cells_misplaced", {"row": number})


def test_any_value_or_tag_changed__is_read_or_refused_and_never_fails() -> None:
    by_chance = random.Random(20261130)  # noqa: S311 - the same every time
    day = dt.date(2026, 3, 2)
    whole = workbook({"units": [["number", "day"], [11, day], ["NL-1", True], [1.5, "é"]]})
    with zipfile.ZipFile(io.BytesIO(whole)) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    looked_at = [name for name in parts if re.fullmatch(r"_rels/.+|xl/(?!theme).+\.(xml|rels)", name)]
    read = 0
    for _ in range(1_000):
        name = by_chance.choice(looked_at)
        values = re.finditer(rb'(?<==")[^"]*|(?<=>)[^<]+|<[^>]*>', parts[name])
        start, end = by_chance.choice([found.span() for found in values])
        odd = by_chance.choice((b"", b"0", b"-1", b"9" * 20, b"XFD1048576", b"s", b"e", b"d", b"nan", b"[h]", b"\xff"))
        try:
            read_table(
                zipped({**parts, name: parts[name][:start] + odd + parts[name][end:]}),
                declared="",
                sheet="units",
                limits=LIMITS,
            )
        except DomainError:
            continue
        read += 1
    assert read > 100


def test_bomb__is_refused_without_unpacking_it_whole() -> None:
    content = raw_workbook(HEADER + f'<row r="2">{text_cell("A2", "x" * (MAX_UNPACKED + 1))}</row>')
    assert len(content) < 200_000
    tracemalloc.start()
    assert refused(content) == (Invalid, "table_unpacks_too_large")
    assert tracemalloc.get_traced_memory()[1] < 3 * MAX_UNPACKED
    tracemalloc.stop()


def test_bomb_that_lies_about_its_size__is_refused() -> None:
    content = bytearray(raw_workbook(HEADER + f'<row r="2">{text_cell("A2", "x" * 1_000_000)}</row>'))
    with zipfile.ZipFile(io.BytesIO(bytes(content))) as archive:
        size = archive.getinfo("xl/worksheets/sheet1.xml").file_size
    lied = bytes(content).replace(struct.pack("<I", size), struct.pack("<I", 10))
    assert lied != bytes(content)
    assert refused(lied) == (Unreadable, "table_not_xlsx")


def test_entities__are_refused() -> None:
    prologue = '<!DOCTYPE worksheet [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;">]>'
    content = raw_workbook(f'{HEADER}<row r="2">{text_cell("A2", "&b;")}</row>', prologue=prologue)
    assert refused(content) == (Unreadable, "table_not_xlsx")


@pytest.mark.parametrize(
    ("content", "declared", "expected"),
    [
        (b"PK\x03\x04 and then nothing", XLSX, (Unreadable, "table_not_xlsx")),
        (zipped({"content.xml": b"<office/>"}), XLSX, (Unreadable, "table_not_xlsx")),
        (zipped({f"xl/{number}.xml": b"<a/>" for number in range(201)}), XLSX, (Unreadable, "table_not_xlsx")),
        (b"\xd0\xcf\x11\xe0 old", XLSX, (Unreadable, "table_old_workbook")),
        (b"number\r\nNL-1\r\n", XLSX, (Invalid, "table_mislabelled")),
        (workbook({"units": [["number"]]}), CSV, (Invalid, "table_mislabelled")),
        (workbook({"units": []}), XLSX, (Unreadable, "table_empty")),
        (b"", "", (Unreadable, "table_empty")),
        (b"x" * 20_000_001, "", (TooLarge, "table_too_large")),
        (workbook({"units": [["number"], *([["NL-1"]] * 4)]}), XLSX, (Invalid, "table_too_many_rows")),
    ],
    ids=["cut", "other-zip", "many-parts", "old", "csv-as-xlsx", "xlsx-as-csv", "no-rows", "empty", "large", "rows"],
)
def test_file_that_is_no_such_workbook__is_refused(content: bytes, declared: str, expected: object) -> None:
    assert refused(content, declared) == expected
