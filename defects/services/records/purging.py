"""What of defects goes after its retention, and which files it still needs. The triggers do the deleting."""

from defects.models import Photo
from fleet.enums import Deleted
from fleet.models import Deletion
from fleet.services.records.purging.functions import DeletedAlong


def photo_needs(sha256: str) -> bool:
    """Whether a photo of these bytes was not deleted."""
    photos = Photo.objects.filter(original=sha256)
    deleted = Deletion.objects.filter(what=Deleted.PHOTO, record__in=photos.values("pk")).values("record")
    return photos.exclude(pk__in=deleted).exists()


DELETED_ALONG = (DeletedAlong("report_signed", Deleted.REPORT_CHECKS), DeletedAlong("photo_received", Deleted.PHOTO))
