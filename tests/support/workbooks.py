"""Small XLSX workbooks, well formed and hostile, for the readers of tables."""

import io
import zipfile
from collections.abc import Mapping, Sequence

from xlsxwriter import Workbook

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
LINKS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
PACKAGE = "http://schemas.openxmlformats.org/package/2006"
WORKBOOK_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"
SHEET_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"


def workbook(sheets: Mapping[str, Sequence[Sequence[object]]]) -> bytes:
    """A workbook of these sheets; every text cell stays a text."""
    made = io.BytesIO()
    with Workbook(made, {"in_memory": True, "strings_to_formulas": False, "default_date_format": "yyyy-mm-dd"}) as book:
        for name, rows in sheets.items():
            sheet = book.add_worksheet(name)
            for number, row in enumerate(rows):
                sheet.write_row(number, 0, row)
    return made.getvalue()


def raw_workbook(
    sheet: str,
    *,
    prologue: str = "",
    before: str = "",
    after: str = "",
    others: Mapping[str, str] | None = None,
    encoding: str = "utf-8",
) -> bytes:
    """A workbook with one sheet `units` whose rows are given as XML; `others` are further parts, or replace these."""
    parts = {
        "[Content_Types].xml": (
            f'<Types xmlns="{PACKAGE}/content-types">'
            '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
            f'<Override PartName="/xl/workbook.xml" ContentType="{WORKBOOK_TYPE}"/>'
            f'<Override PartName="/xl/worksheets/sheet1.xml" ContentType="{SHEET_TYPE}"/></Types>'
        ),
        "_rels/.rels": (
            f'<Relationships xmlns="{PACKAGE}/relationships">'
            f'<Relationship Id="r1" Type="{LINKS}/officeDocument" Target="xl/workbook.xml"/></Relationships>'
        ),
        "xl/_rels/workbook.xml.rels": (
            f'<Relationships xmlns="{PACKAGE}/relationships">'
            f'<Relationship Id="r1" Type="{LINKS}/worksheet" Target="worksheets/sheet1.xml"/></Relationships>'
        ),
        "xl/workbook.xml": (
            f'<workbook xmlns="{MAIN}" xmlns:r="{LINKS}"><sheets>'
            '<sheet name="units" sheetId="1" r:id="r1"/></sheets></workbook>'
        ),
        "xl/worksheets/sheet1.xml": (
            f'{prologue}<worksheet xmlns="{MAIN}">{before}<sheetData>{sheet}</sheetData>{after}</worksheet>'
        ),
        **(others or {}),
    }
    return zipped({name: content.encode(encoding) for name, content in parts.items()})


def zipped(parts: Mapping[str, bytes]) -> bytes:
    """The parts as a ZIP."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return made.getvalue()


def text_cell(place: str, text: str) -> str:
    """A cell with a text in it, as XML."""
    return f'<c r="{place}" t="inlineStr"><is><t>{text}</t></is></c>'
