"""Who still needs a stored file: a file whose removal is owed is asked about here first. Apps add their own."""

from collections.abc import Callable

from fleet.models import Deletion, Document

FileUser = Callable[[str], bool]
"""Whether a file of this SHA-256 is still named by a row whose own content was not deleted."""


def _scan_of_a_paper(sha256: str) -> bool:
    deleted = Deletion.objects.filter(what="scan", content_hash=sha256).values("record")
    return Document.objects.filter(file=sha256).exclude(pk__in=deleted).exists()


_users: list[FileUser] = [_scan_of_a_paper]


def add_file_user(user: FileUser) -> None:
    """Add an app's own."""
    _users.append(user)


def is_needed(sha256: str) -> bool:
    """Whether anybody still needs the file."""
    return any(user(sha256) for user in _users)
