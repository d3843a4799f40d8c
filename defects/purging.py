"""What of defects goes after its days of keeping, and which files it still needs. The triggers do the deleting."""

from defects.models import Photo
from fleet.enums import Deleted
from fleet.file_users import add_file_user
from fleet.models import Deletion
from fleet.purgeables import add_companion


def _photo(sha256: str) -> bool:
    """Whether a photo of these bytes was not deleted."""
    photos = Photo.objects.filter(original=sha256)
    deleted = Deletion.objects.filter(what=Deleted.PHOTO, record__in=photos.values("pk")).values("record")
    return photos.exclude(pk__in=deleted).exists()


add_file_user(_photo)
add_companion("report_signed", Deleted.REPORT_CHECKS)
add_companion("photo_received", Deleted.PHOTO)
