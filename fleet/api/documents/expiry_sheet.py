"""The expiry list as one spreadsheet page that a person can filter and print."""

from collections.abc import Sequence
from datetime import UTC, date, datetime
from io import BytesIO

from xlsxwriter import Workbook

from common.messages import Message, render
from fleet.api.documents.expiry_columns import COLUMNS, table
from fleet.selectors.documents.expiries.expiry import Expiry

_FOREVER = datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)
"""Said as the day of making, so that the same list is the same file."""


def expiry_sheet(rows: Sequence[Expiry], language: str) -> bytes:
    """Return a workbook of one sheet: a header that stays and filters, real dates, landscape and one page wide.

    Texts are written as texts, whatever they begin with: no cell holds a formula.
    """
    content = BytesIO()
    shown = [place for place, column in enumerate(COLUMNS) if column.width]
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    with Workbook(content, options) as book:
        book.set_properties({"title": render(Message("expiry_list"), language), "created": _FOREVER})
        sheet = book.add_worksheet(render(Message("expiry_list"), language)[:31])
        head = book.add_format({"bold": True, "text_wrap": True, "bottom": 1})
        day, text = book.add_format({"num_format": "yyyy-mm-dd"}), book.add_format({"text_wrap": True, "valign": "top"})
        for at, place in enumerate(shown):
            sheet.set_column(at, at, COLUMNS[place].width)
            sheet.write_string(0, at, str(COLUMNS[place].title), head)
        for line, cells in enumerate(table(rows, language), start=1):
            for at, place in enumerate(shown):
                value = cells[place]
                if isinstance(value, date):
                    sheet.write_datetime(line, at, value, day)
                elif isinstance(value, int):
                    sheet.write_number(line, at, value)
                elif value:
                    sheet.write_string(line, at, value, text)
        sheet.autofilter(0, 0, len(rows), len(shown) - 1)
        sheet.freeze_panes(1, 0)
        sheet.repeat_rows(0)
        sheet.set_landscape()
        sheet.set_paper(1)
        sheet.fit_to_pages(1, 0)
        sheet.set_footer("&L&D&R&P / &N")
    return content.getvalue()
