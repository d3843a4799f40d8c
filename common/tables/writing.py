"""Writing CSV after RFC 4180: UTF-8, commas, CRLF, and nothing that a spreadsheet would run. Holds no table."""

import csv
import io
import json
import logging
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from common.canonical import in_utc
from common.tables.formulas import disarmed

CHUNK = 64 * 1024
ERROR = "ERROR: cannot be read"

logger = logging.getLogger(__name__)


def csv_chunks(header: Sequence[str], rows: Iterable[Sequence[object]]) -> Iterator[bytes]:
    """Yield the file piece by piece, however long it is.

    A row that cannot be written stands as its first value and `ERROR`, and their count as a last row; the log says why.
    """
    buffer = io.StringIO(newline="")
    writer = csv.writer(buffer, lineterminator="\r\n")
    writer.writerow(header)
    unreadable = 0
    for row in rows:
        try:
            cells = [cell_text(value) for value in row]
        except (TypeError, ValueError, OverflowError):
            logger.exception("a row cannot be given out: %s", row[0])
            unreadable += 1
            cells = [str(row[0]), ERROR]
        writer.writerow(cells)
        if buffer.tell() >= CHUNK:
            yield _taken(buffer)
    if unreadable:
        writer.writerow([f"{ERROR}: {unreadable}"])
    yield _taken(buffer)


def cell_text(value: object) -> str:
    """Return a value as it stands in a cell.

    Texts are disarmed; a number is none, and stays one. Nothing is empty, flags are true and false, instants are in
    UTC with a Z, bytes are hexadecimal, lists and objects are JSON.
    """
    for kinds, spelled in _SPELLED:
        if isinstance(value, kinds):
            return spelled(value)
    return str(value)


_SPELLED: tuple[tuple[type | tuple[type, ...], Callable[[Any], str]], ...] = (
    (type(None), lambda _: ""),
    (str, lambda text: disarmed(str.__str__(text))),
    (bool, lambda flag: "true" if flag else "false"),
    (Decimal, lambda number: format(number, "f")),
    (datetime, in_utc),
    (date, lambda day: day.isoformat()),
    ((bytes, memoryview), lambda raw: bytes(raw).hex()),
    (
        (list, dict),
        lambda json_value: disarmed(json.dumps(json_value, ensure_ascii=False, sort_keys=True, default=cell_text)),
    ),
)
"""In this order: a flag is a number, and an instant a day."""


def _taken(buffer: io.StringIO) -> bytes:
    taken = buffer.getvalue().encode()
    buffer.seek(0)
    buffer.truncate()
    return taken
