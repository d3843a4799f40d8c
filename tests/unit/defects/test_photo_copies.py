"""The copy without notes: the same picture, upright, with nothing in it that says where or when."""

import io

import pytest
from PIL import Image
from PIL.PngImagePlugin import PngInfo

from common.errors import Invalid
from defects.services import photo_copies
from defects.services.photo_copies import without_notes

GPS = 0x8825
ORIENTATION = 0x0112
MAKE = 0x010F


def jpeg(*, orientation: int = 1) -> bytes:
    picture = Image.new("RGB", (40, 20), "red")
    picture.paste("blue", (0, 0, 20, 20))
    exif = Image.Exif()
    exif[ORIENTATION], exif[MAKE] = orientation, "a phone"
    exif[GPS] = {1: "N", 2: (41.0, 30.0, 0.0)}
    written = io.BytesIO()
    picture.save(written, "JPEG", exif=exif, comment=b"taken at the dock")
    return written.getvalue()


def png(mode: str = "RGBA") -> bytes:
    notes = PngInfo()
    notes.add_text("Location", "41.5,-93.6")
    written = io.BytesIO()
    Image.new(mode, (8, 8), 3 if mode in {"P", "L"} else "green").save(written, "PNG", pnginfo=notes)
    return written.getvalue()


def test_jpeg__no_exif_no_comment_same_picture() -> None:
    assert b"a phone" in jpeg()
    assert b"taken at the dock" in jpeg()

    copy = without_notes(jpeg(), "image/jpeg")

    assert b"Exif" not in copy
    assert b"a phone" not in copy
    assert b"taken at the dock" not in copy
    with Image.open(io.BytesIO(copy)) as opened:
        assert (opened.format, opened.size, dict(opened.getexif())) == ("JPEG", (40, 20), {})
        red, blue = opened.getpixel((35, 10)), opened.getpixel((5, 10))
        assert isinstance(red, tuple)
        assert isinstance(blue, tuple)
        assert red[0] > 240
        assert blue[2] > 240


def test_held_sideways__turned_upright_because_the_note_that_said_so_is_gone() -> None:
    with Image.open(io.BytesIO(without_notes(jpeg(orientation=6), "image/jpeg"))) as opened:
        assert opened.size == (20, 40)


@pytest.mark.parametrize("mode", ["RGBA", "RGB", "L", "P"])
def test_png__no_text_same_picture(mode: str) -> None:
    assert b"41.5,-93.6" in png(mode)

    copy = without_notes(png(mode), "image/png")

    assert b"41.5,-93.6" not in copy
    with Image.open(io.BytesIO(copy)) as opened, Image.open(io.BytesIO(png(mode))) as original:
        assert opened.convert("RGBA").tobytes() == original.convert("RGBA").tobytes()


@pytest.mark.parametrize(
    ("content", "media_type"),
    [
        (b"\xff\xd8\xff no picture at all", "image/jpeg"),
        (b"\x89PNG\r\n\x1a\n and nothing more", "image/png"),
        (jpeg()[:200], "image/jpeg"),
        (png(), "image/jpeg"),
    ],
)
def test_no_picture__refused(content: bytes, media_type: str) -> None:
    with pytest.raises(Invalid) as refused:
        without_notes(content, media_type)
    assert refused.value.code == "photo_unreadable"


def test_more_pixels_than_a_phone_takes__refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(photo_copies, "MAX_PIXELS", 799)
    with pytest.raises(Invalid) as refused:
        without_notes(jpeg(), "image/jpeg")
    assert refused.value.code == "photo_unreadable"
    monkeypatch.setattr(photo_copies, "MAX_PIXELS", 800)
    assert without_notes(jpeg(), "image/jpeg")
