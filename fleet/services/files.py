"""Files kept by the hash of their content: on the disk first, whole and synced, then as a row. None is overwritten."""

import os
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from tempfile import NamedTemporaryFile

from django.conf import settings
from django.db import transaction

from common.canonical import sha256_hex
from common.errors import Invalid, NotFound, TooLarge
from fleet.models import StoredFile
from fleet.rules.file_types import media_type

MAX_BYTES = 15 * 1024 * 1024
ORPHAN_AGE = timedelta(days=1)
"""How old a file without a row must be before it is swept: its row's transaction is over by then."""

_BEING_WRITTEN = ".part-"


@transaction.atomic
def store_file(
    *,
    content: bytes,
    declared: str | None,
    allowed: frozenset[str],
    expected_sha256: str | None,
    max_bytes: int = MAX_BYTES,
    now: datetime,
) -> StoredFile:
    """Keep a file and return its row; the same content again returns the row that is there.

    When this returns, the bytes are synced to the disk under their final name, so that no committed row lacks its
    file. TooLarge `file_too_large`; Invalid `file_empty`, `file_type_refused` (the type is found from the content),
    `file_mislabelled` when it was `declared` as another one, `file_hash_differs` from the one expected.
    """
    if len(content) > max_bytes:
        raise TooLarge("file_too_large", max_bytes=max_bytes)
    if not content:
        raise Invalid("file_empty")
    found = media_type(content)
    if found is None or found not in allowed:
        raise Invalid("file_type_refused", allowed=sorted(allowed))
    if declared not in {None, found}:
        raise Invalid("file_mislabelled", found=found)
    name = sha256_hex(content)
    if expected_sha256 not in {None, name}:
        raise Invalid("file_hash_differs", found=name)
    write_once(path_of(name), content)
    row, new = StoredFile.objects.get_or_create(
        sha256=name, defaults={"size": len(content), "media_type": found, "stored_at": now}
    )
    return row if new else _kept_anew(row, content)


def _kept_anew(row: StoredFile, content: bytes) -> StoredFile:
    """Hold the row until the end, so that no removal that is owed comes between, and write what one took before."""
    row = StoredFile.objects.select_for_update(no_key=True).get(pk=row.pk)
    write_once(path_of(row.pk), content)
    return row


def read_file(sha256: str) -> bytes:
    """Return the bytes of a kept file; NotFound `file_missing` when the disk has lost it."""
    try:
        return path_of(sha256).read_bytes()
    except FileNotFoundError as error:
        raise NotFound("file_missing") from error


def path_of(sha256: str) -> Path:
    """Return where a file of this hash lies, in one of 256 folders."""
    return Path(settings.MEDIA_ROOT) / "files" / sha256[:2] / sha256


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


def sweep_orphans(*, now: datetime) -> int:
    """Remove files without a row that are older than a day, half-written ones among them; how many there were."""
    removed = 0
    for folder in sorted((Path(settings.MEDIA_ROOT) / "files").glob("*")):
        old = [path for path in _files(folder) if _age(path, now) > ORPHAN_AGE]
        known = set(StoredFile.objects.filter(pk__in=[path.name for path in old]).values_list("pk", flat=True))
        for path in old:
            if path.name not in known:
                path.unlink(missing_ok=True)
                removed += 1
    return removed


def _files(folder: Path) -> Iterator[Path]:
    return (path for path in folder.iterdir() if path.is_file())


def _age(path: Path, now: datetime) -> timedelta:
    return timedelta(seconds=now.timestamp() - path.stat().st_mtime)


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
