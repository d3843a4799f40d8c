"""What the forms of pictures share: how many pieces and pixels one may have, and that a file is none."""

from typing import Final

MAX_PIECES: Final = 20_000
"""Segments of a JPEG, chunks of a PNG. A phone writes some hundred; each costs about a microsecond."""

MAX_PIXELS: Final = 60_000_000
"""More than any phone's camera takes; a small file may claim far more and fill the memory of whoever opens it."""


class NotAPicture(ValueError):
    """The file is cut short, is not put together as its form says, or is larger in pixels than any photo."""


def refuse_size(width: int, height: int) -> None:
    """NotAPicture for one without pixels, or with more than are shown."""
    if not 0 < width * height <= MAX_PIXELS:
        raise NotAPicture
