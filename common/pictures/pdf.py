"""A PDF whose embedded photos lose their notes: these are blanked where they stand, so that nothing moves."""

import re
from typing import Final

from common.pictures.pieces import MAX_PIECES, NotAPicture

_NOTES: Final = re.compile(rb"\xff[\xe1\xed](..)(?:Exif\0\0|http://ns\.adobe\.com/|Photoshop 3\.0\0)", re.DOTALL)
"""The segments of a JPEG in which cameras and their programs note place and time, by how they begin."""


def pdf_without_notes(content: bytes) -> bytes:
    """Return the document with zeros in these segments; NotAPicture for one that has more than any scan."""
    blanked, place = bytearray(content), 0
    for _ in range(MAX_PIECES):
        found = _NOTES.search(content, place)
        if found is None:
            return bytes(blanked)
        start = found.end(1)
        place = max(found.end(), min(start - 2 + int.from_bytes(found[1]), len(content)))
        blanked[start:place] = bytes(place - start)
    raise NotAPicture
