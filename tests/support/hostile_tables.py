"""Tables made to cost much, each small enough to be sent."""

import struct
import zipfile
from collections.abc import Callable, Mapping
from io import BytesIO

from common.tables.model import Limits
from common.tables.reading import read_table
from tests.support.workbooks import MAIN, raw_workbook, text_cell

MIB = 1024 * 1024
LARGEST = 10 * MIB
LIMITS = Limits(max_bytes=LARGEST, max_rows=10_000)
HEADER = f'<row r="1">{text_cell("A1", "number")}{text_cell("B1", "plate")}</row>'
ONE_ROW = f'{HEADER}<row r="2">{text_cell("A2", "NL-1")}</row>'


def read(content: bytes) -> int:
    """Read a table within the limits of the service; how many rows it has."""
    return len(read_table(content, declared="", sheet="units", limits=LIMITS).rows)


def strings(*texts: str) -> dict[str, str]:
    """The shared strings of a workbook."""
    return {"xl/sharedStrings.xml": _part("sst", "".join(f"<si><t>{text}</t></si>" for text in texts))}


def shared(rows: int, columns: int) -> str:
    """Cells that all show the first shared string."""
    return HEADER + "".join(
        f'<row r="{row}">'
        + "".join(f'<c r="{chr(65 + column)}{row}" t="s"><v>0</v></c>' for column in range(columns))
        + "</row>"
        for row in range(2, rows + 2)
    )


def dated(value: str) -> bytes:
    """A cell that shows a day, with this number in it."""
    styles = _part(
        "styleSheet", '<cellXfs count="2"><xf numFmtId="0"/><xf numFmtId="14" applyNumberFormat="1"/></cellXfs>'
    )
    row = f'<row r="2"><c r="A2" s="1"><v>{value}</v></c><c r="B2"><v>{value}</v></c></row>'
    return raw_workbook(HEADER + row, others={"xl/styles.xml": styles})


def _part(root: str, inside: str) -> str:
    return f'<{root} xmlns="{MAIN}">{inside}</{root}>'


def _full(cell: str) -> bytes:
    """As many cells as there may be."""
    names = [f"{chr(65 + number // 26 - 1) if number >= 26 else ''}{chr(65 + number % 26)}" for number in range(50)]
    head = "".join(text_cell(f"{name}1", f"column{name}") for name in names)
    rows = (
        f'<row r="{row}">' + "".join(cell.format(name=name, row=row) for name in names) + "</row>"
        for row in range(2, 10_002)
    )
    return raw_workbook(f'<row r="1">{head}</row>' + "".join(rows))


def _many_entries() -> bytes:
    """A ZIP whose directory lists a file two hundred thousand times."""
    entry = struct.pack("<4s4B4HL2L5H2L", b"PK\1\2", 20, 0, 20, 0, 0, 0, 0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0) + b"x"
    many = (LARGEST - 200) // len(entry)
    end = struct.pack("<4s4H2LH", b"PK\5\6", 0, 0, many % 65536, many % 65536, many * len(entry), 4, 0)
    return b"PK\3\4" + entry * many + end


def _many_sheets() -> bytes:
    sheets = {f"xl/worksheets/sheet{number}.xml": _part("worksheet", "<a/>" * 100_000) for number in range(2, 190)}
    return raw_workbook(ONE_ROW, others=sheets)


def _ratio() -> bytes:
    """Parts of 600 MB, of nothing but zeros."""
    made = BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        for name in ("_rels/.rels", "xl/workbook.xml", "xl/_rels/workbook.xml.rels"):
            with archive.open(name, "w") as part:
                for _ in range(200):
                    part.write(bytes(MIB))
    return made.getvalue()


def _other(part: str, root: str, inside: str) -> bytes:
    return raw_workbook(ONE_ROW, others={part: _part(root, inside)})


def _sheet(rows: str) -> bytes:
    return raw_workbook(HEADER + rows)


def _csv(text: str, times: int) -> Callable[[], bytes]:
    return lambda: b"number,plate\r\n" + (text * times).encode()[: LARGEST - 20]


BILLION = "1000000000"
HOSTILE: Mapping[str, tuple[str | int, Callable[[], bytes]]] = {
    "one long text in many cells": (
        "table_too_much_text",
        lambda: raw_workbook(shared(1_250, 4), others=strings("x" * 100_000)),
    ),
    "one longer text in many cells": (
        "table_too_much_text",
        lambda: raw_workbook(shared(1_250, 4), others=strings("x" * 1_000_000)),
    ),
    "emoji in many cells": (
        "table_too_much_text",
        lambda: raw_workbook(shared(2_000, 4), others=strings("x" * 30_000 + "\U0001f69b")),
    ),
    "shared texts beyond number": (
        "table_too_complex",
        lambda: _other("xl/sharedStrings.xml", "sst", "<si/>" * 12_000_000),
    ),
    "one text in many runs": (
        "table_too_complex",
        lambda: _other("xl/sharedStrings.xml", "sst", ("<si>" + "<r/>" * 9 + "</si>") * 1_200_000),
    ),
    "no such shared text": (
        "table_not_xlsx",
        lambda: raw_workbook(shared(1, 2).replace("<v>0<", f"<v>{'9' * 5000}<"), others=strings("x")),
    ),
    "row and cell that disagree": (
        "table_cells_misplaced",
        lambda: _sheet(f'<row r="1048576">{text_cell("CU2", "x")}<c t="str"><v>x</v></c></row>'),
    ),
    "row of 5,000 digits": (
        "table_cells_misplaced",
        lambda: _sheet(f'<row r="{"9" * 5000}"><c t="str"><v>x</v></c></row>'),
    ),
    "cell of 5,000 digits": (
        "table_cells_misplaced",
        lambda: _sheet(f'<row r="2"><c r="A{"9" * 5000}" t="str"><v>x</v></c></row>'),
    ),
    "cell of 5,000 letters": (
        "table_cells_misplaced",
        lambda: _sheet(f'<row r="2"><c r="{"A" * 5000}2" t="str"><v>x</v></c></row>'),
    ),
    "cells without a place": (
        "table_too_many_columns",
        lambda: _sheet('<row r="9999"><c r="A9999"/>' + '<c t="str"><v>x</v></c>' * 1_000_000 + "</row>"),
    ),
    "one cell a million times": (
        "table_cells_misplaced",
        lambda: _sheet('<row r="2">' + text_cell("A2", "x") * 1_000_000 + "</row>"),
    ),
    "rows beyond number": ("table_too_complex", lambda: _sheet("<row/>" * 10_000_000)),
    "empty cells beyond number": ("table_too_complex", lambda: _sheet('<row r="2">' + "<c/>" * 16_000_000 + "</row>")),
    "deep": ("table_too_complex", lambda: _sheet("<row>" * 10_000_000)),
    "deep text": (
        "table_too_complex",
        lambda: raw_workbook(ONE_ROW, others={"xl/sharedStrings.xml": "<sst>" + "<a>" * 20_000_000}),
    ),
    "long attribute": (
        "table_too_complex",
        lambda: _sheet(f'<row r="{"x" * 50_000_000}"><c t="str"><v>x</v></c></row>'),
    ),
    "many attributes": (
        "table_too_complex",
        lambda: _sheet("<row " + " ".join(f'a{number}="1"' for number in range(3_000_000)) + "/>"),
    ),
    "long name": ("table_too_complex", lambda: _sheet(f"<{'x' * 60_000_000}/>")),
    "long instruction": ("table_too_complex", lambda: _sheet(f"<?x {'x' * 60_000_000}?>")),
    "long text": ("table_too_much_text", lambda: _sheet(f'<row r="2">{text_cell("A2", "x" * 60_000_000)}</row>')),
    "long text of emoji": (
        "table_too_much_text",
        lambda: _sheet(f'<row r="2">{text_cell("A2", chr(0x1F69B) * 15_000_000)}</row>'),
    ),
    "cell formats": (
        "table_unpacks_too_large",
        lambda: raw_workbook(
            ONE_ROW, others={"xl/styles.xml": _part("styleSheet", "<cellXfs>" + "<xf/>" * 12_000_000 + "</cellXfs>")}
        ),
    ),
    "number formats": (
        "table_unpacks_too_large",
        lambda: raw_workbook(
            ONE_ROW,
            others={
                "xl/styles.xml": _part(
                    "styleSheet",
                    "<numFmts>"
                    + "".join(f'<numFmt numFmtId="{number}" formatCode="yyyy"/>' for number in range(1_200_000))
                    + "</numFmts>",
                )
            },
        ),
    ),
    "sheets by name beyond number": (
        "table_unpacks_too_large",
        lambda: raw_workbook(
            ONE_ROW,
            others={"xl/workbook.xml": _part("workbook", "<sheets>" + '<sheet name="x"/>' * 3_500_000 + "</sheets>")},
        ),
    ),
    "names": (
        "table_unpacks_too_large",
        lambda: raw_workbook(
            ONE_ROW,
            others={
                "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/'
                'relationships"><sheets><sheet name="units" sheetId="1" r:id="r1"/></sheets><definedNames>'
                + '<definedName name="x">1</definedName>' * 1_400_000
                + "</definedNames></workbook>"
            },
        ),
    ),
    "links": (
        "table_unpacks_too_large",
        lambda: _other("xl/_rels/workbook.xml.rels", "Relationships", "<a/>" * 16_000_000),
    ),
    "merged cells": (
        1,
        lambda: raw_workbook(
            ONE_ROW, after="<mergeCells>" + '<mergeCell ref="A1:XFD1048576"/>' * 1_500_000 + "</mergeCells>"
        ),
    ),
    "vast by its own word": (1, lambda: raw_workbook(ONE_ROW, before='<dimension ref="A1:XFD1048576"/>')),
    "days of a billion": (1, lambda: dated(BILLION)),
    "days before all": (1, lambda: dated("-" + BILLION)),
    "more than a number": (1, lambda: dated("1e999")),
    "no number": (1, lambda: dated("nan")),
    "without end": (1, lambda: dated("inf")),
    "digits": (1, lambda: dated("9" * 1_000_000)),
    "in UTF-16": ("table_not_xlsx", lambda: raw_workbook(ONE_ROW, encoding="utf-16")),
    "entries": ("table_not_xlsx", _many_entries),
    "sheets": (1, _many_sheets),
    "ratio": ("table_unpacks_too_large", _ratio),
    "full of texts": (10000, lambda: _full('<c r="{name}{row}" t="str"><v>{row} {name} text</v></c>')),
    "full of formulas": (10000, lambda: _full('<c r="{name}{row}"><f>1+1</f><v>2</v></c>')),
    "CSV: blank lines": ("table_too_many_blank_rows", _csv("\n", 10_000_000)),
    "CSV: lines of commas": ("table_too_many_blank_rows", _csv(",\n", 5_000_000)),
    "CSV: one row of commas": ("table_too_many_columns", _csv(",", 10_000_000)),
    "CSV: header of commas": ("table_empty", lambda: b"," * (LARGEST - 1)),
    "CSV: one field": ("table_malformed", _csv("x", 10_000_000)),
    "CSV: a quotation never closed": ("table_malformed", lambda: b'number,plate\r\n"' + b"x,\n" * 3_000_000),
    "CSV: quotation marks": ("table_malformed", _csv('"', 10_000_000)),
    "CSV: emoji": ("table_too_many_rows", lambda: b"number,plate\r\n" + "\U0001f69b".encode() + b",x\r\n" * 2_600_000),
    "CSV: full": (
        10000,
        lambda: (
            b",".join(b"column%d" % number for number in range(50)) + b"\r\n" + (b"1234567," * 49 + b"7\r\n") * 10_000
        ),
    ),
}
"""What is said of each: a code, or how many rows it has; and how it is made."""

LONG = frozenset(
    {
        "shared texts beyond number",
        "one text in many runs",
        "cells without a place",
        "one cell a million times",
        "rows beyond number",
        "empty cells beyond number",
        "deep",
        "deep text",
        "long attribute",
        "many attributes",
        "long name",
        "long instruction",
        "long text",
        "long text of emoji",
        "cell formats",
        "number formats",
        "sheets by name beyond number",
        "names",
        "links",
        "merged cells",
        "full of texts",
        "full of formulas",
        "ratio",
    }
)
"""Those that take long to make or to read."""
