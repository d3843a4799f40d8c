"""Which file a photo is, by what it hangs on and the hash that names it."""

from uuid import UUID

from common.errors import NotFound
from defects.models import Photo
from fleet.models import StoredFile


def photo_file(sha256: str, *, walkaround: UUID | None = None, defect: UUID | None = None) -> StoredFile:
    """The file of a walk-around's or a defect's photo; NotFound `photo_unknown`."""
    photos = Photo.objects.filter(walkaround=walkaround, defect=defect, original=sha256)
    photo = photos.select_related("original").first()
    if photo is None:
        raise NotFound("photo_unknown")
    return photo.original
