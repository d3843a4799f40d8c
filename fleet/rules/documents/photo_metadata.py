"""A kept file without the place, time and device that a camera notes in it. Who is shown it is said elsewhere."""

from collections.abc import Callable, Mapping

from common.pictures.jpeg import jpeg_without_notes
from common.pictures.pdf import pdf_without_notes
from common.pictures.pieces import NotAPicture
from common.pictures.png import png_without_notes
from fleet.rules.documents.file_types import JPEG, PDF, PNG

_BY_TYPE: Mapping[str, Callable[[bytes], bytes]] = {
    JPEG: jpeg_without_notes,
    PNG: png_without_notes,
    PDF: pdf_without_notes,
}


def without_notes(content: bytes, media_type: str) -> bytes | None:
    """Return what the file shows and nothing else; None where it is not put together as its form says."""
    try:
        return _BY_TYPE[media_type](content)
    except NotAPicture:
        return None
