"""Which of a photo's two files a person is served: the original only to those who keep the record."""

from uuid import UUID

from common.errors import NotFound
from defects.models import Photo
from fleet.enums import Role
from fleet.models import Person, StoredFile

SEE_ORIGINALS = frozenset({Role.COMPLIANCE, Role.AUDITOR})


def photo_file(
    person: Person, sha256: str, *, walkaround: UUID | None = None, defect: UUID | None = None
) -> StoredFile:
    """The file to serve of a walk-around's or a defect's photo, named by the hash of its original.

    NotFound `photo_unknown`.
    """
    photo = (
        Photo.objects.filter(walkaround=walkaround, defect=defect, original=sha256)
        .select_related("original", "without_location")
        .first()
    )
    if photo is None:
        raise NotFound("photo_unknown")
    return photo.without_location if SEE_ORIGINALS.isdisjoint(person.current_roles) else photo.original
