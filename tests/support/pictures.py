"""Pictures with all that a camera notes in them, and hostile ones that are large or slow for whoever opens them."""

import io
import random
from zlib import DEF_MEM_LEVEL, DEFLATED, MAX_WBITS, Z_DEFAULT_STRATEGY, Z_HUFFMAN_ONLY, compressobj, crc32

from PIL import Image
from PIL.PngImagePlugin import PngInfo

MAKE, ORIENTATION, GPS = 0x010F, 0x0112, 0x8825


def exif(orientation: int = 1) -> Image.Exif:
    """Notes of a phone: its make, how it was held, where it was."""
    notes = Image.Exif()
    notes[ORIENTATION], notes[MAKE] = orientation, "a phone"
    notes[GPS] = {1: "N", 2: (41.0, 30.0, 0.0)}
    return notes


def jpeg(color: str = "red", *, orientation: int = 1, mode: str = "RGB", progressive: bool = False) -> bytes:
    """A small photo, one half of it blue, with notes, a comment, and a second picture after its end."""
    picture = Image.new("RGB", (40, 20), color)
    picture.paste("blue", (0, 0, 20, 20))
    written = io.BytesIO()
    picture.convert(mode).save(
        written,
        "JPEG",
        exif=exif(orientation),
        comment=b"taken at the dock",
        icc_profile=b"a profile of the phone",
        progressive=progressive,
        restart_marker_blocks=0 if progressive else 2,
    )
    return written.getvalue() + b"\xff\xd8 a phone's second picture"


def png(mode: str = "RGB", *, orientation: int = 1) -> bytes:
    """A small picture with notes of both kinds."""
    notes = PngInfo()
    notes.add_text("Location", "41.5,-93.6")
    written = io.BytesIO()
    picture = Image.new(mode, (8, 4), 3 if mode in {"P", "L"} else "green")
    picture.save(written, "PNG", pnginfo=notes, exif=exif(orientation))
    return written.getvalue()


def chunk(name: bytes, data: bytes) -> bytes:
    """A chunk of a PNG."""
    return len(data).to_bytes(4) + name + data + crc32(name + data).to_bytes(4)


def large_png(width: int, height: int, *, solid: bool) -> bytes:
    """A gray picture of many pixels; one that is not solid has two grays by chance, which are slow to pack well."""
    strategy = Z_DEFAULT_STRATEGY if solid else Z_HUFFMAN_ONLY
    packer = compressobj(1, DEFLATED, MAX_WBITS, DEF_MEM_LEVEL, strategy)
    by_chance = random.Random(7)  # noqa: S311 - the same every time
    rows = (bytes(width) if solid else f"{by_chance.getrandbits(width):0{width}b}".encode() for _ in range(height))
    packed = b"".join(packer.compress(b"\0" + row) for row in rows)
    header = width.to_bytes(4) + height.to_bytes(4) + bytes((8, 0, 0, 0, 0))
    pixels = chunk(b"IDAT", packed + packer.flush())
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + pixels + chunk(b"IEND", b"")
