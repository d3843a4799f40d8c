"""A JPEG (ITU-T T.81) without notes: what its decoder needs is copied, all else and its tail left out."""

import re
from collections.abc import Iterator
from typing import Final

from common.pictures.orientation import UPRIGHT, only_orientation, orientation_in
from common.pictures.pieces import MAX_PIECES, NotAPicture, refuse_size

MAX_SCANS: Final = 100
"""Ten are usual; each makes whoever opens it go over all pixels again."""

_END, _SCAN = 0xD9, 0xDA
_ADOBE, _JFIF, _EXIF = 0xEE, 0xE0, 0xE1
_FRAMES: Final = frozenset(range(0xC0, 0xD0)) - {0xC4, 0xC8, 0xCC}
_TABLES: Final = frozenset({0xC4, 0xCC, 0xDB, 0xDD})
"""Huffman and arithmetic tables, quantization tables, the restart interval."""
_ALONE: Final = frozenset({0x01, *range(0xD0, 0xD8)})
"""Markers without a length; only restarts inside a scan mean anything."""
_EXIF_NAME = b"Exif\0\0"
_JFIF_NAME, _ADOBE_NAME = b"JFIF\0", b"Adobe"
_ADOBE_LENGTH, _JFIF_LENGTH, _FRAME_LENGTH = 14, 16, 8

_MARKER = re.compile(rb"\xff([\x01-\xfe])")
_NEXT = re.compile(rb"\xff[\x01-\xcf\xd8-\xff]")
"""What ends the coded data of a scan: any marker but a restart, which belongs to it, as does a stuffed zero."""


def jpeg_without_notes(content: bytes) -> bytes:
    """Return the same picture to the pixel, with nothing of its notes but how it was held; NotAPicture."""
    held, segments = UPRIGHT, [b""]
    has_frame, scans = False, 0
    for marker, start, end in _segments(content):
        segment = content[start:end]
        if marker in _FRAMES:
            _refuse_frame(segment)
            has_frame = True
            segments.append(segment)
        elif marker == _SCAN:
            scans += 1
            segments.append(segment)
        elif marker in _TABLES:
            segments.append(segment)
        elif marker == _EXIF and segment[4:].startswith(_EXIF_NAME) and held == UPRIGHT:
            held = orientation_in(segment[4 + len(_EXIF_NAME) :])
        elif marker in {_JFIF, _ADOBE}:
            segments.append(_color(marker, segment))
    if not has_frame or not 0 < scans <= MAX_SCANS:
        raise NotAPicture
    if held != UPRIGHT:
        notes = _EXIF_NAME + only_orientation(held)
        segments[0] = b"\xff\xe1" + (len(notes) + 2).to_bytes(2) + notes
    return b"".join((b"\xff\xd8", *segments, b"\xff\xd9"))


def _segments(content: bytes) -> Iterator[tuple[int, int, int]]:
    """Every segment up to the end of the image: its marker, and where it lies; a scan with its coded data."""
    place = 2
    for _ in range(MAX_PIECES):
        found = _MARKER.search(content, place)  # a decoder passes over bytes before it, where a length was wrong
        if found is None:
            raise NotAPicture
        marker, start = found[1][0], found.start()
        if marker == _END:
            return
        if marker in _ALONE:
            place = found.end()
            continue
        place = start + 2 + int.from_bytes(content[start + 2 : start + 4])
        if not start + 4 <= place <= len(content):
            raise NotAPicture
        if marker == _SCAN:
            ended = _NEXT.search(content, place)
            if ended is None:
                raise NotAPicture
            place = ended.start()
        yield marker, start, place
    raise NotAPicture


def _refuse_frame(segment: bytes) -> None:
    if len(segment) < 2 + _FRAME_LENGTH:
        raise NotAPicture
    refuse_size(width=int.from_bytes(segment[7:9]), height=int.from_bytes(segment[5:7]))


def _color(marker: int, segment: bytes) -> bytes:
    """What says how its colors are coded, without the small picture that may hang on it; empty for anything else."""
    if marker == _JFIF and segment[4:].startswith(_JFIF_NAME) and len(segment) >= 2 + _JFIF_LENGTH:
        return segment[:2] + _JFIF_LENGTH.to_bytes(2) + segment[4:16] + b"\0\0"
    if marker == _ADOBE and segment[4:].startswith(_ADOBE_NAME) and len(segment) == 2 + _ADOBE_LENGTH:
        return segment
    return b""
