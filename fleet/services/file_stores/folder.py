"""Files in a folder: on the disk first, whole and synced, under their final name; none is overwritten."""

import os
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from tempfile import NamedTemporaryFile

_BEING_WRITTEN = ".part-"
_FANNED_OUT = 2
"""How many digits of the hash name the folder that a file lies in."""


@dataclass(frozen=True)
class Folder:
    """A store of files in one of 256 folders below `root`."""

    root: Path

    def path_of(self, name: str) -> Path:
        """Return where a file of this name lies."""
        return self.root / self.place_of(name)

    def place_of(self, sha256: str) -> str:
        """Return where a file lies below the root."""
        return f"{sha256[:_FANNED_OUT]}/{sha256}"

    def put(self, sha256: str, content: bytes) -> None:
        """Put a file in its place whole or not at all, synced with its folder."""
        write_once(self.path_of(sha256), content)

    def has(self, sha256: str) -> bool:
        """Whether the file is on the disk."""
        return self.path_of(sha256).exists()

    def get(self, sha256: str) -> bytes | None:
        """Return a file's bytes; None when the disk has lost it."""
        try:
            return self.path_of(sha256).read_bytes()
        except FileNotFoundError:
            return None

    def older_than(self, instant: datetime) -> Iterator[list[str]]:
        """Give where older files lie, a folder at a time."""
        for folder in sorted(self.root.glob("*")):
            old = (path for path in folder.iterdir() if path.is_file() and path.stat().st_mtime < instant.timestamp())
            yield [f"{folder.name}/{path.name}" for path in old]

    def remove(self, place: str) -> None:
        """Remove a file, or one that was never finished."""
        (self.root / place).unlink(missing_ok=True)


def write_once(path: Path, content: bytes) -> None:
    """Put a file in its place whole or not at all, synced with its folder; one that is there already stays."""
    if path.exists():
        return
    _make_folder(path.parent)
    with NamedTemporaryFile(dir=path.parent, prefix=_BEING_WRITTEN, delete=False) as part:
        part.write(content)
        part.flush()
        os.fsync(part.fileno())
    Path(part.name).rename(path)
    _sync_folder(path.parent)


def _make_folder(folder: Path) -> None:
    missing = [parent for parent in (folder, *folder.parents) if not parent.exists()]
    folder.mkdir(parents=True, exist_ok=True)
    for made in missing:
        _sync_folder(made.parent)


def _sync_folder(folder: Path) -> None:
    opened = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)
