"""Folders: room, and who may write where; the daily digests in theirs."""

import errno
import os
import shutil
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from django.conf import settings

from common.errors import Unavailable
from fleet.management.doctor.diagnosis import Diagnosis
from fleet.models import Carrier
from fleet.services.operation.file_stores.choice import the_store
from fleet.services.records.digests import digest_paths, sha256_of
from fleet.services.records.verification.digest_files import DigestDamagedError, previous_of

ROOM = 1024**3
ROOM_OF_ALL = 0.05
"""Of a disk, what should be free: one GiB and a twentieth. Our own figures: a day of a large yard's photos."""


def examine_folders() -> Iterator[Diagnosis]:
    """Tell of a folder that cannot be written or is nearly full, and of one that should not be writable."""
    yield from _folder("HISTORY_DIGEST_DIR", Path(settings.HISTORY_DIGEST_DIR))
    if settings.FILE_BUCKET is None:
        yield from _folder("MEDIA_ROOT", Path(settings.MEDIA_ROOT))
    else:
        yield from _bucket(str(settings.FILE_BUCKET["name"]))
    if settings.LOCAL_DEMO:
        return
    if os.geteuid() == 0:
        yield Diagnosis("the service runs as root", "run it as a user of its own that owns its two folders and no more")
    elif os.access(settings.BASE_DIR, os.W_OK):
        yield Diagnosis(
            f"the service may write its own code in {settings.BASE_DIR}",
            "let another user own it, or mount it read-only",
        )


def examine_digests(now: datetime) -> Iterator[Diagnosis]:
    """Tell when the daily digest is missing, old or damaged, or the one before it is not what it was."""
    folder = Path(settings.HISTORY_DIGEST_DIR)
    digests = digest_paths(folder)
    if not digests:
        if Carrier.objects.exists():
            yield Diagnosis(
                f"there is no digest of the histories in {folder}",
                "the worker writes the first within an hour of its start; until then see whether worker and beat run",
            )
        return
    newest = digests[-1]
    yesterday = (now.astimezone(UTC) - timedelta(days=1)).date()
    if newest.stem.removeprefix("history-") < yesterday.isoformat():
        yield Diagnosis(
            f"the newest digest of the histories is {newest.name}", "see why write_history_digest does not run"
        )
    try:
        before = previous_of(newest)
    except DigestDamagedError as why:
        yield Diagnosis(
            f"{newest.name} is damaged: {why}", "bring it back from the backup, then `manage.py verify_history`"
        )
        return
    if before is not None and not _is_there(folder / before["name"], before["sha256"]):
        yield Diagnosis(
            f"{before['name']}, the digest before the newest, is missing or not what it was",
            "bring it back from the backup, then `manage.py verify_history`",
        )


def _folder(name: str, folder: Path) -> Iterator[Diagnosis]:
    try:
        with tempfile.TemporaryFile(dir=folder):
            pass
        room = shutil.disk_usage(folder)
    except OSError as why:
        remedy = "see Growing disks" if why.errno in {errno.ENOSPC, errno.EDQUOT} else f"let this user write {folder}"
        yield Diagnosis(f"{name} cannot be written: {why.strerror}", f"{remedy} (ask where the worker runs)")
        return
    if room.free < max(ROOM, room.total * ROOM_OF_ALL):
        free, total = room.free / 1024**3, room.total / 1024**3
        yield Diagnosis(f"the disk of {name} ({folder}) has {free:.1f} of {total:.1f} GiB left", "see Growing disks")


def _bucket(name: str) -> Iterator[Diagnosis]:
    try:
        the_store().has("0" * 64)
    except Unavailable:
        yield Diagnosis(
            f"the bucket {name} does not answer or does not let us in",
            "check FILES_ENDPOINT, FILES_BUCKET and the keys: photos and scans are answered 503 until then",
        )


def _is_there(path: Path, sha256: str) -> bool:
    return path.is_file() and sha256_of(path) == sha256
