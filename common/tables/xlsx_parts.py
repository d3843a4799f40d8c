"""The parts of a workbook that its reader needs, and no others. A workbook is a ZIP of XML parts; reads no value.

The sizes that a ZIP gives are not believed, and whatever else it holds is never unpacked.
"""

import io
import zipfile
import zlib
from collections.abc import Mapping
from typing import Final

from common.errors import Invalid, Unreadable
from common.tables.xlsx_walk import BROKEN, Walk

MAX_UNPACKED: Final = 64 * 1024 * 1024
"""The most that a sheet and the texts it shares may unpack to, in bytes: 10,000 rows of 30 full cells are a third."""
MAX_INDEX: Final = 8 * 1024 * 1024
"""The most that the list of the sheets and the formats of their cells may."""
MAX_PARTS: Final = 200

INDEX: Final = ("_rels/.rels", "xl/workbook.xml", "xl/_rels/workbook.xml.rels")
STRINGS, STYLES = "xl/sharedStrings.xml", "xl/styles.xml"
_METHODS = frozenset({zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED})
_LISTED = b"PK\x01\x02"

Parts = Mapping[str, bytes]


def sheet_and_parts(content: bytes, sheet: str) -> tuple[str, str, Parts]:
    """Return the name of the sheet asked for, or of the only one, the name of its part, and the parts for its reader.

    Unreadable `table_not_xlsx`; Invalid `table_unpacks_too_large`, `table_sheet_missing`, `table_too_complex`.
    """
    if content.count(_LISTED) > MAX_PARTS:
        raise Unreadable(BROKEN)
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            if len(set(archive.namelist())) < len(archive.namelist()):
                raise Unreadable(BROKEN)
            index = _unpacked(archive, [*INDEX, *_if_there(archive, STYLES)], MAX_INDEX)
            name, part = _found(_sheets(index), sheet)
            return name, part, {**index, **_unpacked(archive, [part, *_if_there(archive, STRINGS)], MAX_UNPACKED)}
    except (KeyError, zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, OSError) as error:
        raise Unreadable(BROKEN) from error


def repacked(parts: Parts) -> bytes:
    """Return the parts as a plain ZIP: whatever was odd about the old one is gone."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return made.getvalue()


def _if_there(archive: zipfile.ZipFile, name: str) -> list[str]:
    return [name] if name in archive.namelist() else []


def _unpacked(archive: zipfile.ZipFile, wanted: list[str], most: int) -> Parts:
    parts: dict[str, bytes] = {}
    left = most
    for name in wanted:
        part = archive.getinfo(name)
        if part.compress_type not in _METHODS:
            raise Unreadable(BROKEN)
        with archive.open(part) as opened:
            # One byte more than is left: the size that the file names for it is not believed.
            parts[name] = opened.read(left + 1)
        left -= len(parts[name])
        if left < 0:
            raise Invalid("table_unpacks_too_large", max_bytes=most)
    return parts


def _found(sheets: Mapping[str, str], requested: str) -> tuple[str, str]:
    name = requested if requested in sheets else next(iter(sheets), "")
    if name != requested and len(sheets) != 1:
        raise Invalid("table_sheet_missing", sheet=requested)
    return name, sheets[name]


class _Index(Walk):
    """Notes the sheets of a workbook and the links to their parts, whichever of the two it walks."""

    def __init__(self) -> None:
        super().__init__()
        self.sheets: dict[str, str] = {}
        self.links: dict[str, str] = {}

    def opened(self, tag: str, attributes: Mapping[str, str]) -> None:
        if tag == "sheet":
            self.sheets[attributes.get("name", "")] = next(
                (value for name, value in attributes.items() if name.rpartition(":")[2] == "id"), ""
            )
        elif tag == "Relationship":
            self.links[attributes.get("Id", "")] = attributes.get("Target", "")


def _sheets(parts: Parts) -> Mapping[str, str]:
    """Return which part holds which sheet, by the sheet's name, in the workbook's order."""
    index = _Index()
    for content in parts.values():
        index.walk(content)
    targets = {name: index.links[link] for name, link in index.sheets.items()}
    return {name: target.lstrip("/") if target.startswith("/") else f"xl/{target}" for name, target in targets.items()}
