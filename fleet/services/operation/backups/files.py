"""Files into a backup and back out of it, each compared with its hash on the way."""

import json
import os
from collections.abc import Iterator
from dataclasses import asdict
from pathlib import Path

from django.conf import settings
from django.db.models import Exists, OuterRef

from common.canonical import sha256_hex
from fleet.models import FileRemoval, StoredFile
from fleet.services.operation.backups.manifest import (
    COPIED,
    DAMAGED,
    FILES,
    IN_BUCKET,
    LISTED,
    MISSING,
    REMOVED,
    ListedFile,
    file_place,
    listed_files,
)
from fleet.services.operation.file_stores.choice import the_store
from fleet.services.operation.file_stores.folder import Folder

ON_RECORD = "files-on-record"
"""What the snapshot says of files, until each is looked for in the store."""
BATCH = 2_000


def note_files(folder: Path, earlier: Path | None) -> int:
    """Write down every file on record as of the snapshot, with whether its removal is asked for; the bytes to copy."""
    removal = Exists(FileRemoval.objects.filter(file=OuterRef("pk")))
    rows = StoredFile.objects.order_by("pk").values_list("pk", "size", removal)
    needed = 0
    with (folder / ON_RECORD).open("w", encoding="utf-8") as lines:
        for sha256, size, removed in rows.iterator(BATCH):
            needed += 0 if earlier is not None and (earlier / file_place(sha256)).exists() else size
            lines.write(json.dumps([sha256, size, REMOVED if removed else MISSING]) + "\n")
    return needed


def copy_files(folder: Path, earlier: Path | None) -> dict[str, int]:
    """Copy the bytes of what was noted; how many files there are by where their bytes are.

    What a backup of before has, on the same disk, is linked to it instead: a file never changes under its name.
    """
    kept: dict[str, int] = {}
    with (folder / LISTED).open("w", encoding="utf-8") as lines:
        for sha256, size, otherwise in _noted(folder):
            found = _take(folder, sha256, earlier) or otherwise
            kept[found] = kept.get(found, 0) + 1
            lines.write(json.dumps(asdict(ListedFile(sha256, size, found))) + "\n")
    (folder / ON_RECORD).unlink()
    return kept


def bring_back(folder: Path) -> Iterator[str]:
    """Put the bytes of a backup into the store, whole and durable; the hashes of files that are not there afterwards.

    What is there already stays and is compared; what lies in a bucket is only looked for.
    """
    store = the_store()
    for file in listed_files(folder):
        if file.kept == COPIED:
            store.put(file.sha256, (folder / file_place(file.sha256)).read_bytes())
            content = store.get(file.sha256)
            if content is None or sha256_hex(content) != file.sha256:
                yield file.sha256
        elif file.kept == IN_BUCKET and not store.has(file.sha256):
            yield file.sha256


def _noted(folder: Path) -> Iterator[tuple[str, int, str]]:
    with (folder / ON_RECORD).open(encoding="utf-8") as lines:
        for line in lines:
            sha256, size, otherwise = json.loads(line)
            yield sha256, size, otherwise


def _take(folder: Path, sha256: str, earlier: Path | None) -> str:
    """Where a file's bytes are from now on; empty when the store has none."""
    store, place = the_store(), folder / file_place(sha256)
    if settings.FILE_BUCKET is not None:
        return IN_BUCKET if store.has(sha256) else ""
    linked = None if earlier is None else earlier / file_place(sha256)
    if (
        linked is not None
        and linked.exists()
        and sha256_hex(linked.read_bytes()) == sha256
        and _is_linked(linked, place)
    ):
        return COPIED
    content = store.get(sha256)
    if content is None:
        return ""
    if sha256_hex(content) != sha256:
        return DAMAGED
    Folder(folder / FILES).put(sha256, content)
    return COPIED


def _is_linked(linked: Path, place: Path) -> bool:
    """Share the bytes of a backup of before; False where they lie on another disk, or it has no links."""
    place.parent.mkdir(parents=True, exist_ok=True)
    try:
        os.link(linked, place)
    except OSError:
        return False
    return True
