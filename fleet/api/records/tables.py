"""Tables given out as CSV: one, all in an archive, and what stands on record in the columns of one to be taken in."""

from collections.abc import Iterator, Sequence

from django.utils.translation import gettext as _

from common.snapshots import one_snapshot
from common.tables.writing import csv_chunks
from fleet.selectors.records.exports.tables import ExportTable


def one_table(table: ExportTable) -> Iterator[bytes]:
    """Yield every row of a table."""
    with one_snapshot():
        yield from csv_chunks(table.columns, table.rows())


def everything(tables: Sequence[ExportTable], words: str) -> Iterator[tuple[str, Iterator[bytes]]]:
    """Yield the files of an archive of all these tables, read of one instant."""
    yield "READ-ME.txt", iter([words.encode()])
    with one_snapshot():
        for table in tables:
            yield f"{table.name}.csv", csv_chunks(table.columns, table.rows())


def note() -> str:
    """Return what an archive says about itself, in the reader's language."""
    sentences = (
        _("Every table you may see, at one point in time, as CSV (RFC 4180): UTF-8, commas, CRLF."),
        _(
            "A text that begins with = + - @, a tab or a line break has an apostrophe before it, so that no "
            "spreadsheet computes it; one that begins with apostrophes before such a character has one more. To have "
            "the text again, take one apostrophe away where any stand before one of these characters."
        ),
        _(
            "Numbers are exact. Times are in UTC, dates in the carrier's zone, bytes in hexadecimal, lists and "
            "objects in JSON. A column ending in _id holds the key of a row in another table."
        ),
        _("An unreadable row holds its key and the word ERROR. The last row counts them."),
        _("Passwords, tokens and the like are not in here."),
    )
    return "\r\n\r\n".join(sentences) + "\r\n"
