"""What a file is, found from its first bytes and never from its name. Keeping it lives in services."""

from collections.abc import Mapping

PDF = "application/pdf"
JPEG = "image/jpeg"
PNG = "image/png"

DOCUMENTS = frozenset({PDF, JPEG, PNG})
"""What the scan of a document may be: forms that every office opens."""

ALSO_CALLED: Mapping[str, str] = {"image/jpg": JPEG, "image/pjpeg": JPEG}
"""Names that devices send, though nobody registered them."""

ENDINGS: Mapping[str, str] = {PDF: "pdf", JPEG: "jpg", PNG: "png"}
"""What a copy that is handed out is called at its end."""


def media_type(content: bytes) -> str | None:
    """Return the media type that the first 16 bytes show (their published signatures); None for any other file."""
    if content.startswith(b"%PDF-"):
        return PDF
    if content.startswith(b"\xff\xd8\xff"):
        return JPEG
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return PNG
    return None
