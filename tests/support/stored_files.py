"""Where the bytes of a stored file lie, for tests that look or take them away."""

from pathlib import Path

from django.conf import settings

from fleet.services.operation.file_stores.folder import Folder


def path_of(sha256: str) -> Path:
    """Return where a file of this hash lies on the disk."""
    return Folder(Path(settings.MEDIA_ROOT) / "files").path_of(sha256)
