"""What a file is, found from its first bytes and never from its name. Keeping it lives in services."""

from collections.abc import Mapping

PDF = "application/pdf"
JPEG = "image/jpeg"
PNG = "image/png"
WEBP = "image/webp"
HEIC = "image/heic"

PHOTOS = frozenset({JPEG, PNG, WEBP, HEIC})
PAPERS = frozenset({PDF, JPEG, PNG})
"""What the scan of a paper may be: forms that every office opens. Photos of a walk-around come as phones make them."""

ENDINGS: Mapping[str, str] = {PDF: "pdf", JPEG: "jpg", PNG: "png", WEBP: "webp", HEIC: "heic"}
"""What a copy that is handed out is called at its end."""

_HEIC_BRANDS = frozenset({b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1"})


def media_type(content: bytes) -> str | None:
    """Return the media type that the first 16 bytes show (their published signatures); None for any other file."""
    if content.startswith(b"%PDF-"):
        return PDF
    if content.startswith(b"\xff\xd8\xff"):
        return JPEG
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return PNG
    if content[:4] == b"RIFF" and content[8:12] == b"WEBP":
        return WEBP
    if content[4:8] == b"ftyp" and content[8:12] in _HEIC_BRANDS:
        return HEIC
    return None
