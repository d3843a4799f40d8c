"""What is looked at in a workbook before its reader sees it: bombs, formulas and errors. Reads no value.

A workbook is a ZIP of XML parts. Its reader lays out every cell between the first and the last, and believes the
sizes a ZIP gives, so a small file could take all memory there is.
"""

import io
import re
import zipfile
import zlib
from collections.abc import Mapping
from typing import Final
from xml.etree import ElementTree as ET
from xml.parsers import expat

from common.errors import TooLarge, Unreadable
from common.tables.model import Limits

MAX_UNPACKED: Final = 64 * 1024 * 1024
"""The most that all parts together may unpack to, in bytes: ten thousand rows of thirty full cells are a third."""
MAX_PARTS: Final = 200

BROKEN = "table_not_xlsx"
_READ = re.compile(r"\[Content_Types\]\.xml|_rels/[^/]*\.rels|xl/.+\.(?:xml|rels)")
_METHODS = frozenset({zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED})
_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_LINK = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_CELL = re.compile(r"([A-Z]{1,3})([1-9][0-9]{0,6})")

Parts = Mapping[str, bytes]
Faults = Mapping[tuple[int, int], str]
"""By row and column, both from 0: `cell_formula` or `cell_error`."""


def unpacked(content: bytes) -> Parts:
    """Return the parts that a reader needs, each unpacked within the limit; Unreadable, TooLarge."""
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            found = archive.infolist()
            if len(found) > MAX_PARTS or len({part.filename for part in found}) < len(found):
                raise Unreadable(BROKEN)
            return _unpacked(archive, [part for part in found if _READ.fullmatch(part.filename)])
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, OSError) as error:
        raise Unreadable(BROKEN) from error


def repacked(parts: Parts) -> bytes:
    """Return the parts as a plain ZIP: whatever was odd about the old one is gone."""
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return made.getvalue()


def sheet_parts(parts: Parts) -> Mapping[str, str]:
    """Return which part holds which sheet, by the sheet's name, in the workbook's order; Unreadable."""
    try:
        links = {
            link.get("Id", ""): link.get("Target", "") for link in _tree(parts["xl/_rels/workbook.xml.rels"]).iter()
        }
        sheets = list(_tree(parts["xl/workbook.xml"]).iter(f"{_MAIN}sheet"))
        targets = {sheet.get("name", ""): links[sheet.get(_LINK, "")] for sheet in sheets}
    except (KeyError, ET.ParseError) as error:
        raise Unreadable(BROKEN) from error
    return {name: target.lstrip("/") if target.startswith("/") else f"xl/{target}" for name, target in targets.items()}


def refuse_entities(parts: Parts) -> None:
    """Unreadable for a part that declares a document type: a workbook has none, and entities grow."""
    for content in parts.values():
        _parse(content, lambda *_: None, lambda _: None)


def sheet_faults(content: bytes, limits: Limits) -> Faults:
    """Return the cells of a sheet that hold no plain value. TooLarge when it reaches past the limits."""
    scan = _Scan(limits)
    _parse(content, scan.opened, scan.closed)
    return scan.faults


def _unpacked(archive: zipfile.ZipFile, wanted: list[zipfile.ZipInfo]) -> Parts:
    parts: dict[str, bytes] = {}
    left = MAX_UNPACKED
    for part in wanted:
        if part.compress_type not in _METHODS:
            raise Unreadable(BROKEN)
        with archive.open(part) as opened:
            # One byte more than is left: the size that the file names for it is not believed.
            parts[part.filename] = opened.read(left + 1)
        left -= len(parts[part.filename])
        if left < 0:
            raise TooLarge("table_unpacks_too_large", max_bytes=MAX_UNPACKED)
    return parts


def _tree(content: bytes) -> ET.Element:
    return ET.fromstring(content)  # noqa: S314 - document types were refused before, so nothing expands


def _parse(content: bytes, opened: object, closed: object) -> None:
    parser = expat.ParserCreate()
    parser.StartDoctypeDeclHandler = _refuse
    parser.StartElementHandler = opened  # type: ignore[assignment]  # the stubs know no handler
    parser.EndElementHandler = closed  # type: ignore[assignment]  # the stubs know no handler
    try:
        parser.Parse(content, True)  # noqa: FBT003 - positional in the library
    except expat.ExpatError as error:
        raise Unreadable(BROKEN) from error


def _refuse(*_: object) -> None:
    raise Unreadable(BROKEN)


class _Scan:
    """Follows a sheet's rows and cells. A cell without a place of its own comes after the one before."""

    def __init__(self, limits: Limits) -> None:
        self.faults: dict[tuple[int, int], str] = {}
        self._limits = limits
        self._row = self._column = -1
        self._failed = False

    def opened(self, name: str, attributes: Mapping[str, str]) -> None:
        tag = name.rpartition(":")[2]
        if tag == "row":
            place = attributes.get("r", "")
            self._row = int(place) - 1 if place.isascii() and place.isdigit() else self._row + 1
            self._column = -1
        elif tag == "c":
            self._place(attributes.get("r"))
            self._failed = attributes.get("t") == "e"
        elif tag in {"v", "is"}:
            self._refuse_far_away()
            if self._failed:
                self.faults.setdefault((self._row, self._column), "cell_error")
        elif tag == "f":
            self._refuse_far_away()
            self.faults[self._row, self._column] = "cell_formula"

    def closed(self, name: str) -> None:
        """Nothing ends anything here: what follows says where it stands."""

    def _place(self, reference: str | None) -> None:
        if reference is None:
            self._column += 1
            return
        found = _CELL.fullmatch(reference)
        if found is None:
            raise Unreadable(BROKEN)
        self._row, self._column = int(found[2]) - 1, _number(found[1]) - 1

    def _refuse_far_away(self) -> None:
        if self._row > self._limits.max_rows:
            raise TooLarge("table_too_many_rows", max_rows=self._limits.max_rows)
        if self._column >= self._limits.max_columns:
            raise TooLarge("table_too_many_columns", max_columns=self._limits.max_columns)


def _number(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - ord("A") + 1
    return number
