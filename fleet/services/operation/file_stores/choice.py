"""What a store of files can do, and which one the settings name."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Protocol

from django.conf import settings
from django.utils.module_loading import import_string

from fleet.services.operation.file_stores.folder import Folder

IN_A_BUCKET = "fleet.services.operation.file_stores.bucket.open_bucket"
"""Loaded only where it is used: its library is a quarter of a process's start, and most keep files in a folder."""


class FileStore(Protocol):
    """Keeps each content once, under its SHA-256. Unavailable `file_store_unavailable` where it cannot be reached."""

    def put(self, sha256: str, content: bytes) -> None:
        """Keep a file, whole and durable when this returns; one that is there already stays."""

    def has(self, sha256: str) -> bool:
        """Whether the file is there."""

    def get(self, sha256: str) -> bytes | None:
        """Return a file's bytes; None when there is none."""

    def place_of(self, sha256: str) -> str:
        """Return where a file lies, as `remove` takes it."""

    def older_than(self, instant: datetime) -> Iterator[list[str]]:
        """Give where what was put before an instant lies, in batches; half-written files among it. Names come last."""

    def remove(self, place: str) -> None:
        """Remove what lies there; nothing happens when it is gone already."""


def the_store() -> FileStore:
    """Return the bucket that the settings name, or else the folder."""
    if settings.FILE_BUCKET is None:
        return Folder(Path(settings.MEDIA_ROOT) / "files")
    store: FileStore = import_string(IN_A_BUCKET)(**settings.FILE_BUCKET)
    return store
