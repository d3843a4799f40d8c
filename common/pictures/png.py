"""A PNG (ISO/IEC 15948) without notes: the chunks that its pixels need are copied, all others are left out."""

from collections.abc import Iterator
from typing import Final
from zlib import crc32

from common.pictures.orientation import UPRIGHT, only_orientation, orientation_in
from common.pictures.pieces import MAX_PIECES, NotAPicture, refuse_size

_SIGNATURE: Final = b"\x89PNG\r\n\x1a\n"
_HEADER, _PIXELS, _END, _NOTES = b"IHDR", b"IDAT", b"IEND", b"eXIf"
_LENGTHS: Final = {_HEADER: 13, b"gAMA": 4, b"cHRM": 32, b"sRGB": 1}
"""Chunks of one length: the header, and which colors are meant."""
_KEPT: Final = frozenset({b"PLTE", b"tRNS", _PIXELS, _END, *_LENGTHS})
_AROUND: Final = 12
"""Bytes of a chunk besides its data: length, name, checksum."""


def png_without_notes(content: bytes) -> bytes:
    """Return the same picture to the pixel, with nothing of its notes but how it was held; NotAPicture."""
    if not content.startswith(_SIGNATURE):
        raise NotAPicture
    held, segments = UPRIGHT, []
    for name, chunk in _chunks(content):
        if name == _NOTES and held == UPRIGHT:
            held = orientation_in(chunk[8:-4])
        elif name in _KEPT:
            segments.append(chunk)
    names = [chunk[4:8] for chunk in segments]
    if names[0] != _HEADER or names.count(_HEADER) != 1 or _PIXELS not in names:
        raise NotAPicture
    refuse_size(width=int.from_bytes(segments[0][8:12]), height=int.from_bytes(segments[0][12:16]))
    if held != UPRIGHT:
        segments.insert(1, _chunk(_NOTES, only_orientation(held)))
    return b"".join((_SIGNATURE, *segments))


def _chunks(content: bytes) -> Iterator[tuple[bytes, bytes]]:
    """Every chunk up to the last, whole, with its name; what comes after that is no part of the picture."""
    place = len(_SIGNATURE)
    for _ in range(MAX_PIECES):
        length = int.from_bytes(content[place : place + 4])
        chunk = content[place : place + _AROUND + length]
        name = chunk[4:8]
        if len(chunk) < _AROUND + length or length != _LENGTHS.get(name, length):
            raise NotAPicture
        if name in _KEPT and crc32(chunk[4:-4]) != int.from_bytes(chunk[-4:]):
            raise NotAPicture
        yield name, chunk
        if name == _END:
            return
        place += len(chunk)
    raise NotAPicture


def _chunk(name: bytes, data: bytes) -> bytes:
    return len(data).to_bytes(4) + name + data + crc32(name + data).to_bytes(4)
