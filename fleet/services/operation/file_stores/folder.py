"""Files in a folder: on the disk first, whole and synced, under their final name; none is overwritten."""

import logging
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from common.errors import Unavailable

RETRY_AFTER_S = 60
"""A disk is not given room, nor a bucket reached again, within seconds."""


def unavailable() -> Unavailable:
    """Return the refusal `file_store_unavailable`."""
    return Unavailable("file_store_unavailable", retry_after=RETRY_AFTER_S)


_BEING_WRITTEN = ".part-"
_FANNED_OUT = 2
"""How many digits of the hash name the folder that a file lies in."""

logger = logging.getLogger(__name__)


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
        with _at_hand():
            write_once(self.path_of(sha256), content)

    def has(self, sha256: str) -> bool:
        return self.path_of(sha256).exists()

    def get(self, sha256: str) -> bytes | None:
        """Return a file's bytes; None when the disk has lost it."""
        with _at_hand():
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
        (self.root / place).unlink(missing_ok=True)


def write_once(path: Path, content: bytes) -> None:
    """Put a file in its place whole or not at all, synced with its folder; one that is there already stays."""
    if not path.exists():
        _make_folder(path.parent)
        _write(path, content)
    _sync_folder(path.parent)


def _write(path: Path, content: bytes) -> None:
    opened = tempfile.NamedTemporaryFile(dir=path.parent, prefix=_BEING_WRITTEN, delete=False)  # noqa: SIM115 - closed below
    part = Path(opened.name)
    try:
        with opened:
            opened.write(content)
            opened.flush()
            os.fsync(opened.fileno())
        part.rename(path)
    finally:
        part.unlink(missing_ok=True)


@contextmanager
def _at_hand() -> Iterator[None]:
    """Unavailable `file_store_unavailable` for a disk that is full or out of order; the log says which."""
    try:
        yield
    except OSError as error:
        logger.exception("files cannot be kept or read")
        raise unavailable() from error


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
