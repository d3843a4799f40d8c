"""What of a kept file a person is shown: as it was received, or without the place and time that a camera notes."""

from dataclasses import dataclass

from common.errors import NotFound
from fleet.enums import Role
from fleet.models import Person, StoredFile
from fleet.rules.documents.photo_metadata import without_notes
from fleet.services.documents.files import read_file

SEE_ORIGINALS = frozenset({Role.COMPLIANCE, Role.AUDITOR})
"""Who keeps the record sees where and when a photo was taken."""


@dataclass(frozen=True)
class Shown:
    """The bytes that a person is shown of a file, and a name for just these."""

    content: bytes
    name: str


def shown_to(person: Person, file: StoredFile) -> Shown:
    """Return a file as this person may see it; NotFound `file_missing`, `file_not_shown` where it cannot be opened."""
    content = read_file(file.pk)
    if not SEE_ORIGINALS.isdisjoint(person.current_roles):
        return Shown(content, file.pk)
    bare = without_notes(content, file.media_type)
    if bare is None:
        raise NotFound("file_not_shown")
    return Shown(bare, f"{file.pk}-without-notes")
