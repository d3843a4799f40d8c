"""The ZIP of a unit's file: entries in a fixed order with their hashes, the manifest, and the script that checks it."""

import hashlib
import io
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import IO
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo

from common.canonical import sha256_hex
from common.errors import NotFound
from fleet.models import StoredFile
from fleet.rules.documents.file_types import ENDINGS
from fleet.services.documents.files import read_file
from fleet.services.records.unit_file.gather import Gathered

BLOCK = 1024 * 1024
ORDINARY_FILE = 0o644 << 16
CHECKER = Path(__file__).with_name("verify.py")


@dataclass(frozen=True)
class Entry:
    path: str
    size: int
    sha256: str


@dataclass
class Archive:
    """A ZIP being written; every entry carries the same time, so that the same records give the same bytes."""

    zip: ZipFile
    at: datetime
    entries: list[Entry] = field(default_factory=list)

    def add(self, path: str, content: bytes | Path, *, pressed: bool = True) -> None:
        """Write one file, block by block; photos are pressed already."""
        info = ZipInfo(path, date_time=self.at.timetuple()[:6])
        info.compress_type = ZIP_DEFLATED if pressed else ZIP_STORED
        info.external_attr = ORDINARY_FILE
        digest, size = hashlib.sha256(), 0
        with self.zip.open(info, "w") as target:
            for block in _blocks(content):
                target.write(block)
                digest.update(block)
                size += len(block)
        self.entries.append(Entry(path, size, digest.hexdigest()))


def add_stored_files(archive: Archive, gathered: Gathered) -> list[dict[str, str]]:
    """Add every scan and photo that the records name; what could not be added, with why.

    `not_received`: named by a signed report and never sent; `deleted`: past its retention, with a record of its
    deletion; `lost`: the store has no such file; `altered`: it is not what its hash says.
    """
    faults = []
    for sha256, folder in sorted(gathered.named.items()):
        row = gathered.kept.get(sha256)
        content, why = (None, "not_received") if row is None else _kept(row)
        if row is None or content is None:
            faults.append({"sha256": sha256, "why": why})
        else:
            archive.add(f"{folder}/{sha256}.{ENDINGS[row.media_type]}", content, pressed=False)
    return faults


def sums(entries: list[Entry]) -> bytes:
    """The hashes of all entries in the form that sha256sum -c reads."""
    return "".join(f"{entry.sha256}  {entry.path}\n" for entry in entries).encode()


def _kept(row: StoredFile) -> tuple[bytes | None, str]:
    try:
        content = read_file(row.sha256)
    except NotFound:
        return None, "deleted" if hasattr(row, "removal") else "lost"
    return (content, "") if sha256_hex(content) == row.sha256 else (None, "altered")


def _blocks(content: bytes | Path) -> Iterator[bytes]:
    source: IO[bytes]
    with content.open("rb") if isinstance(content, Path) else io.BytesIO(content) as source:
        while block := source.read(BLOCK):
            yield block
