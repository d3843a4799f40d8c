"""The templates to fill in: a header with one example below it, and in a workbook what each column is for."""

import io
from collections.abc import Sequence

from django.conf import settings
from django.utils.translation import gettext as _
from xlsxwriter import Workbook
from xlsxwriter.format import Format
from xlsxwriter.utility import xl_col_to_name
from xlsxwriter.worksheet import Worksheet

from common.tables.writing import csv_chunks
from fleet.api.imports.columns import Column, TableForm

WIDTH = 22
GUIDE_WIDTHS = (28, 12, 24, 90)


def csv_template(form: TableForm) -> bytes:
    return b"".join(csv_chunks([column.name for column in form.columns], [form.example]))


def xlsx_template(form: TableForm) -> bytes:
    """Return the template as a workbook: the table with lists to choose from, and a guide in the reader's language.

    All cells are texts, so that no spreadsheet makes numbers or days of what is typed.
    """
    made = io.BytesIO()
    with Workbook(made, {"in_memory": True, "strings_to_formulas": False}) as book:
        text = book.add_format({"num_format": "@"})
        example = book.add_format({"num_format": "@", "italic": True, "font_color": "#606060"})
        head = book.add_format({"num_format": "@", "bold": True, "bg_color": "#DDE6EE", "bottom": 1})
        sheet = book.add_worksheet(form.table.value)
        sheet.freeze_panes(1, 0)
        for index, column in enumerate(form.columns):
            sheet.set_column(index, index, WIDTH, text)
            sheet.write_string(0, index, column.name, head)
            sheet.write_string(1, index, column.example, example)
            _choices(book, sheet, index, column)
        _guide(book, form, head)
    return made.getvalue()


def _choices(book: Workbook, sheet: Worksheet, index: int, column: Column) -> None:
    """A list to choose from, on a sheet of its own: lists inside a cell's rule hold 255 characters only."""
    if not column.choices:
        return
    lists = book.get_worksheet_by_name("lists") or book.add_worksheet("lists")
    lists.write_column(0, index, column.choices)
    last = len(column.choices)
    letters = xl_col_to_name(index)
    sheet.data_validation(
        1,
        index,
        settings.IMPORT_MAX_ROWS,
        index,
        {"validate": "list", "source": f"=lists!${letters}$1:${letters}${last}", "ignore_blank": True},
    )


def _guide(book: Workbook, form: TableForm, head: Format) -> None:
    guide = book.add_worksheet("guide")
    for index, width in enumerate(GUIDE_WIDTHS):
        guide.set_column(index, index, width)
    lines: list[Sequence[str]] = [
        (str(form.purpose),),
        (_("Row 2 is an example of an invented carrier. Replace it; unchanged, it is not imported."),),
        (_("An empty cell changes nothing. Remove columns you do not need."),),
        (),
        (_("column"), _("needed"), _("example"), _("what it is for")),
    ]
    lines += [(c.name, _("yes") if c.needed else "", c.example, str(c.help)) for c in form.columns]
    for row, cells in enumerate(lines):
        for index, cell in enumerate(cells):
            guide.write_string(row, index, cell, head if row == 4 else None)  # noqa: PLR2004 - the line of names
