"""Who still needs a stored file: asked before a file is removed. Each app contributes its own."""

from collections.abc import Callable
from dataclasses import dataclass

from common.composition import contributed
from fleet.models import Deletion, Document


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
