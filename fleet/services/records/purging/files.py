"""Taking from the store the bytes whose deletion is on record. That it is pending was written when it was recorded."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from common.composition import contributed
from fleet.models import Deletion, Document, FileRemoval, StoredFile
from fleet.services.documents.files import remove_file
from fleet.services.operation.backups.locks import may_remove_files

AT_MOST = 2_000


def remove_files(*, now: datetime) -> int:
    """Remove what is pending, file by file; how many there were. Broken off anywhere, the next job does it again.

    A file that somebody needs after all stays, and so does one that is being stored anew just now, and all of them
    while a backup copies files.
    """
    pending = (
        FileRemoval.objects.filter(done_at__isnull=True).order_by("requested_at", "pk").values_list("pk", flat=True)
    )
    return sum(_remove(sha256, now) for sha256 in list(pending[:AT_MOST]))


@transaction.atomic
def _remove(sha256: str, now: datetime) -> bool:
    # Whoever stores the same bytes again locks this row until the row that names them is committed.
    if not StoredFile.objects.select_for_update(skip_locked=True).filter(pk=sha256).exists():
        return False
    if not may_remove_files():
        return False
    removal = FileRemoval.objects.select_for_update().filter(pk=sha256, done_at__isnull=True).first()
    if removal is None:
        return False
    if is_needed(sha256):
        removal.delete()
        return False
    forget_bytes(sha256)
    removal.done_at = now
    removal.save(update_fields=["done_at"])
    return True


def forget_bytes(sha256: str) -> None:
    """Remove the bytes of a stored file; nothing to do when they are gone already. Its row stays."""
    remove_file(sha256)


@dataclass(frozen=True)
class FileUser:
    """Whether a file of this SHA-256 is still named by a row whose own content was not deleted."""

    needs: Callable[[str], bool]


def scan_needs(sha256: str) -> bool:
    """Whether a document's scan of these bytes was not deleted."""
    deleted = Deletion.objects.filter(what="scan", content_hash=sha256).values("record")
    return Document.objects.filter(file=sha256).exclude(pk__in=deleted).exists()


def is_needed(sha256: str) -> bool:
    """Whether anybody still needs the file."""
    return any(user.needs(sha256) for user in contributed(FileUser))
