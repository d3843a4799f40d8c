"""A ZIP of files that are written while it is sent, in flat memory. Holds no table."""

import io
import zipfile
from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from _typeshed import ReadableBuffer
else:
    ReadableBuffer = object

CHUNK = 64 * 1024


def zip_chunks(files: Iterable[tuple[str, Iterable[bytes]]], at: datetime) -> Iterator[bytes]:
    """Yield the archive piece by piece; `files` are names with their content in pieces, `at` is their time in it.

    An archive that breaks off lacks the directory at its end, so that no program takes a part for the whole.
    """
    outlet = _Outlet()
    with zipfile.ZipFile(outlet, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, pieces in files:
            entry = zipfile.ZipInfo(name, at.timetuple()[:6])
            entry.compress_type = zipfile.ZIP_DEFLATED
            with archive.open(entry, "w", force_zip64=True) as member:
                for piece in pieces:
                    member.write(piece)
                    if outlet.size >= CHUNK:
                        yield outlet.taken()
    yield outlet.taken()


class _Outlet(io.RawIOBase):
    """What the archive is written to: only forward, and emptied again and again."""

    def __init__(self) -> None:
        super().__init__()
        self._pieces: list[bytes] = []
        self.size = 0

    def writable(self) -> bool:
        return True

    def write(self, piece: ReadableBuffer, /) -> int:
        content = bytes(piece)
        self._pieces.append(content)
        self.size += len(content)
        return len(content)

    def taken(self) -> bytes:
        taken = b"".join(self._pieces)
        self._pieces, self.size = [], 0
        return taken
