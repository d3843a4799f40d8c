"""Which file a photo is, by what it hangs on and the hash that names it."""

from uuid import UUID

from common.errors import or_not_found
from defects.models import Photo, Report
from fleet.models import StoredFile


def photo_file(
    sha256: str, *, walkaround: UUID | None = None, defect: UUID | None = None, load: UUID | None = None
) -> StoredFile:
    """The file of a walk-around's, a defect's or a load's photo; NotFound `photo_unknown`."""
    photos = Photo.objects.filter(walkaround=walkaround, defect=defect, load=load, original=sha256)
    photo = or_not_found(photos.select_related("original").first(), "photo_unknown")
    return photo.original


def names(report: Report) -> frozenset[str]:
    """Every hash that a signed report names, in its checks, corrections and free-text faults."""
    named = [sha256 for item in (*report.checks, *report.faults) for sha256 in item.get("photos", ())]
    named += [check["corrected_photo"] for check in report.checks if "corrected_photo" in check]
    return frozenset(named)
