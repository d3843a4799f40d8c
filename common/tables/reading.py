"""Reading a table that somebody sent: CSV or XLSX, found from its content. What its columns mean is said elsewhere."""

from common.errors import Invalid, TooLarge, Unreadable
from common.tables.csv_reading import read_csv
from common.tables.model import Limits, Table
from common.tables.xlsx_reading import read_xlsx

CSV = "text/csv"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
UNSAID = frozenset({"", "application/octet-stream"})
"""What announces a body as nothing in particular (RFC 9110, section 8.3; RFC 2046, section 4.5.1)."""

_ZIP = b"PK\x03\x04"
_OLD_WORKBOOK = b"\xd0\xcf\x11\xe0"


def read_table(content: bytes, *, declared: str, sheet: str, limits: Limits) -> Table:
    """Return the table in a file that was `declared` as a media type ("" when it was not); `sheet` names its sheet.

    TooLarge `table_too_large`; Unreadable `table_empty`, `table_old_workbook` (a binary one, or one with a password);
    Invalid `table_mislabelled`; and as the readers of the two forms.
    """
    if len(content) > limits.max_bytes:
        raise TooLarge("table_too_large", max_bytes=limits.max_bytes)
    if not content:
        raise Unreadable("table_empty")
    if content.startswith(_OLD_WORKBOOK):
        raise Unreadable("table_old_workbook")
    found = XLSX if content.startswith(_ZIP) else CSV
    if declared not in UNSAID and declared != found:
        raise Invalid("table_mislabelled", found=found)
    return read_xlsx(content, sheet, limits) if found == XLSX else read_csv(content, limits)
