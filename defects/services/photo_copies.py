"""The copy of a photo that most are served: the same picture without place, time, device or any other note in it."""

import io
import warnings

from PIL import Image, ImageOps, UnidentifiedImageError

from common.errors import Invalid
from fleet.rules.file_types import JPEG, PNG

FORMATS = {JPEG: "JPEG", PNG: "PNG"}
MAX_PIXELS = 60_000_000
"""More than any phone's camera takes; a small file may claim far more and fill the memory when it is opened."""

QUALITY = 88


def without_notes(content: bytes, media_type: str) -> bytes:
    """The picture alone, turned the way it was held, in the same format; Invalid `photo_unreadable`."""
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            with Image.open(io.BytesIO(content), formats=[FORMATS[media_type]]) as opened:
                if opened.width * opened.height > MAX_PIXELS:
                    raise Invalid("photo_unreadable")
                upright = ImageOps.exif_transpose(opened)
                upright.load()
    except (UnidentifiedImageError, Image.DecompressionBombError, OSError, SyntaxError, ValueError, Warning) as error:
        raise Invalid("photo_unreadable") from error
    bare = Image.new(upright.mode, upright.size)
    palette = upright.getpalette()
    if palette is not None:
        bare.putpalette(palette)
    bare.paste(upright)
    written = io.BytesIO()
    bare.save(written, FORMATS[media_type], **({"quality": QUALITY} if media_type == JPEG else {"optimize": True}))
    return written.getvalue()
