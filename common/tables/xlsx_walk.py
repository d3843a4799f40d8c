"""Going through the XML of a workbook's part in small pieces, with bounds on all that could cost: knows no part."""

from collections.abc import Iterator, Mapping
from typing import Final
from xml.parsers import expat

from common.errors import Invalid, Unreadable

BROKEN: Final = "table_not_xlsx"
MAX_ELEMENTS: Final = 2_000_000
"""In all parts together: ten thousand rows of thirty cells with their texts are half of it."""
MAX_DEPTH: Final = 50
MAX_TAG: Final = 1024 * 1024
"""Bytes of one tag with its attributes, or of anything else that must be there whole to be read."""
_PIECE: Final = 64 * 1024


class Walk:
    """Calls `opened`, `closed` and `said` for each element and text, names without their prefix.

    One walk may go through several parts, which share the bounds. Unreadable `table_not_xlsx` for what is no XML in
    UTF-8, or declares a document type: a workbook has none, and entities grow. Invalid `table_too_complex`.
    """

    def __init__(self) -> None:
        self._elements = self._depth = 0

    def opened(self, tag: str, attributes: Mapping[str, str]) -> None:
        """Take note of an element that begins."""

    def closed(self, tag: str) -> None:
        """Take note of an element that ends."""

    def said(self, text: str) -> None:
        """Take note of a text, or a piece of one."""

    def walk(self, content: bytes) -> None:
        """Go through one part."""
        if b"\0" in content:  # UTF-16, which the reader would take for something else
            raise Unreadable(BROKEN)
        parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.XmlDeclHandler = _refuse_encodings
        parser.StartDoctypeDeclHandler = _refuse
        parser.StartElementHandler = self._opened
        parser.EndElementHandler = self._closed
        parser.CharacterDataHandler = self.said
        self._depth = 0
        try:
            for end, piece in _pieces(content):
                parser.Parse(piece, end == len(content))
                if end - parser.CurrentByteIndex > MAX_TAG:
                    raise Invalid("table_too_complex")
        except expat.ExpatError as error:
            raise Unreadable(BROKEN) from error

    def _opened(self, name: str, attributes: Mapping[str, str]) -> None:
        self._elements += 1
        self._depth += 1
        if self._elements > MAX_ELEMENTS or self._depth > MAX_DEPTH:
            raise Invalid("table_too_complex")
        self.opened(name.rpartition(":")[2], attributes)

    def _closed(self, name: str) -> None:
        self._depth -= 1
        self.closed(name.rpartition(":")[2])


def _pieces(content: bytes) -> Iterator[tuple[int, bytes]]:
    """The content piece by piece, each with where it ends."""
    for start in range(0, len(content) or 1, _PIECE):
        piece = content[start : start + _PIECE]
        yield start + len(piece), piece


def _refuse(*_: object) -> None:
    raise Unreadable(BROKEN)


def _refuse_encodings(_version: str, encoding: str | None, _standalone: int) -> None:
    if encoding is not None and encoding.lower() != "utf-8":
        raise Unreadable(BROKEN)
