"""A picture without its notes: the same to the pixel, shown as it was held, and nothing that says where or when."""

import io
import random
from collections.abc import Callable

import pytest
from PIL import Image, ImageOps

from common.pictures.jpeg import MAX_SCANS, jpeg_without_notes
from common.pictures.orientation import only_orientation, orientation_in
from common.pictures.pdf import pdf_without_notes
from common.pictures.pieces import MAX_PIECES, MAX_PIXELS, NotAPicture
from common.pictures.png import png_without_notes
from tests.support.bounded import bounded
from tests.support.pictures import MAKE, ORIENTATION, chunk, exif, jpeg, large_png, png

SECRETS = (b"a phone", b"taken at the dock", b"a profile", b"second picture", b"41.5,-93.6")
MIB = 1024 * 1024
LARGEST = 15 * MIB
FRAME = b"\xff\xc0\x00\x0b\x08\x00\x10\x00\x10\x01\x01\x11\x00"
SCAN = b"\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00"


def pixels(content: bytes) -> tuple[tuple[int, int], bytes]:
    with Image.open(io.BytesIO(content)) as opened:
        upright = ImageOps.exif_transpose(opened)
        return upright.size, upright.tobytes()


@pytest.mark.parametrize("mode", ["RGB", "L", "CMYK"])
@pytest.mark.parametrize("progressive", [False, True])
@pytest.mark.parametrize("orientation", [1, 3, 6])
def test_jpeg__same_pixels_held_the_same_way_and_no_note(mode: str, progressive: bool, orientation: int) -> None:
    content = jpeg(mode=mode, progressive=progressive, orientation=orientation)
    assert [secret in content for secret in SECRETS[:4]] == [True] * 4

    copy = jpeg_without_notes(content)

    assert not any(secret in copy for secret in SECRETS)
    assert pixels(copy) == pixels(content)
    with Image.open(io.BytesIO(copy)) as opened:
        assert (opened.format, opened.mode) == ("JPEG", mode)
        assert dict(opened.getexif()) == ({} if orientation == 1 else {ORIENTATION: orientation})


@pytest.mark.parametrize("mode", ["RGBA", "RGB", "L", "P"])
@pytest.mark.parametrize("orientation", [1, 8])
def test_png__same_pixels_held_the_same_way_and_no_note(mode: str, orientation: int) -> None:
    content = png(mode, orientation=orientation) + b"after its end"
    assert b"a phone" in content

    copy = png_without_notes(content)

    assert not any(secret in copy for secret in (*SECRETS, b"after its end"))
    assert pixels(copy) == pixels(content)


def test_small_picture_inside_the_first_segment__is_left_out() -> None:
    content = jpeg()
    start = content.index(b"JFIF\0")
    thumbnail = bytes((1, 1)) + b"a phone"[:3]
    length = (int.from_bytes(content[start - 2 : start]) + 3).to_bytes(2)
    longer = content[: start - 2] + length + content[start : start + 12] + thumbnail + content[start + 14 :]
    assert pixels(longer) == pixels(content)
    assert jpeg_without_notes(longer) == jpeg_without_notes(content)


@pytest.mark.parametrize("between", [b"\0" * 9, b"a phone", b"\xff" * 9, b"\xff\xd0"])
def test_bytes_between_segments__are_passed_over_as_a_decoder_does(between: bytes) -> None:
    content = jpeg()
    start = content.index(b"\xff\xdb")
    odd = content[:start] + between + content[start:]
    assert pixels(odd) == pixels(content)
    assert jpeg_without_notes(odd) == jpeg_without_notes(content)


def test_notes_that_are_malformed__never_fail_a_photo() -> None:
    by_chance = random.Random(20261130)  # noqa: S311 - the same every time
    content, notes = jpeg(orientation=6), exif(6).tobytes()[6:]
    start, plain = content.index(notes), {jpeg_without_notes(jpeg(orientation=held)) for held in range(1, 9)}
    for _ in range(2_000):
        odd = bytearray(notes)
        for _ in range(by_chance.randint(1, 6)):
            odd[by_chance.randrange(len(odd))] = by_chance.choice((0, 1, 255, by_chance.randrange(256)))
        assert 1 <= orientation_in(bytes(odd)) <= 8
        assert jpeg_without_notes(content[:start] + odd + content[start + len(odd) :]) in plain


@pytest.mark.parametrize(
    "notes",
    [
        b"",
        b"II*\0",
        b"II*\0\xff\xff\xff\xff",
        b"MM\0*\0\0\0\x08\xff\xff",
        only_orientation(9),
        only_orientation(0),
        only_orientation(6).replace(b"\x12\x01\x03\0", b"\x12\x01\x05\0"),
    ],
)
def test_orientation_that_cannot_be_read__is_upright(notes: bytes) -> None:
    assert orientation_in(notes) == 1


def test_any_byte_changed__is_a_picture_without_notes_or_none() -> None:
    by_chance, shown = random.Random(20261130), 0  # noqa: S311 - the same every time
    for content, without_notes in ((jpeg(), jpeg_without_notes), (png(), png_without_notes)):
        for _ in range(2_000):
            odd = bytearray(content)
            odd[by_chance.randrange(2, len(odd))] = by_chance.randrange(256)
            try:
                copy = without_notes(bytes(odd))
            except NotAPicture:
                continue
            shown += 1
            assert b"GPS" not in copy
            assert b"41.5,-93.6" not in copy
    assert shown > 1_000


@pytest.mark.parametrize(
    "content",
    [
        b"\xff\xd8\xff no picture at all",
        b"\xff\xd8",
        jpeg()[:200],
        jpeg()[: jpeg().rindex(b"\xff\xd9")],
        b"\xff\xd8\xff\xd9",
        b"\xff\xd8" + FRAME + b"\xff\xd9",
        b"\xff\xd8" + SCAN + b"\xff\xd9",
        b"\xff\xd8" + FRAME.replace(b"\x00\x10\x00\x10", b"\x00\x00\x00\x10") + SCAN + b"\xff\xd9",
        b"\xff\xd8" + FRAME.replace(b"\x00\x10\x00\x10", b"\xff\xff\xff\xff") + SCAN + b"\xff\xd9",
        b"\xff\xd8" + FRAME + SCAN * (MAX_SCANS + 1) + b"\xff\xd9",
        b"\xff\xd8" + b"\xff\xe1\x00\x02" * MAX_PIECES + FRAME + SCAN + b"\xff\xd9",
    ],
)
def test_no_jpeg__is_no_picture(content: bytes) -> None:
    with pytest.raises(NotAPicture):
        jpeg_without_notes(content)


def gray(width: int, height: int) -> bytes:
    header = width.to_bytes(4) + height.to_bytes(4) + bytes((8, 0, 0, 0, 0))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", header) + chunk(b"IDAT", b"") + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    "content",
    [
        b"\x89PNG\r\n\x1a\n and nothing more",
        png()[:-1],
        png().replace(b"IDAT", b"IDAU"),
        png().replace(b"IHDR", b"IHDQ"),
        b"\x89PNG\r\n\x1a\n" + chunk(b"IEND", b""),
        gray(0, 9),
        gray(MAX_PIXELS // 1000, 1001),
        gray(9, 9).replace(chunk(b"IDAT", b""), chunk(b"tEXt", b"") * MAX_PIECES + chunk(b"IDAT", b"")),
    ],
)
def test_no_png__is_no_picture(content: bytes) -> None:
    with pytest.raises(NotAPicture):
        png_without_notes(content)


def test_png_of_as_many_pixels_as_are_shown__is_one() -> None:
    assert png_without_notes(gray(MAX_PIXELS // 1000, 1000))


def test_pdf__its_photos_lose_their_notes_and_nothing_moves() -> None:
    photo = jpeg()
    content = b"%PDF-1.7\n1 0 obj\nstream\n" + photo + b"\nendstream\nxref"

    copy = pdf_without_notes(content)

    start = content.index(photo)
    assert len(copy) == len(content)
    assert pixels(copy[start : start + len(photo)]) == pixels(photo)
    assert (MAKE in exif(), b"a phone\0" in content, b"a phone\0" in copy) == (True, True, False)
    assert pdf_without_notes(b"%PDF-1.7 a scan") == b"%PDF-1.7 a scan"


def test_pdf_of_nothing_but_notes__is_not_shown() -> None:
    with pytest.raises(NotAPicture):
        pdf_without_notes(b"%PDF-" + b"\xff\xe1\0\x08Exif\0\0" * (MAX_PIECES + 1))


JPEG_HEAD = b"\xff\xd8" + FRAME + SCAN
HOSTILE: dict[str, tuple[Callable[[bytes], bytes], Callable[[], bytes], bool]] = {
    "27-megapixels": (png_without_notes, lambda: large_png(6_000, 4_500, solid=False), True),
    "60-megapixels": (png_without_notes, lambda: large_png(10_000, 6_000, solid=True), True),
    "chunks": (png_without_notes, lambda: gray(9, 9)[:33] + chunk(b"tEXt", b"") * (LARGEST // 12 - 3), False),
    "stuffed": (jpeg_without_notes, lambda: JPEG_HEAD + b"\xff\x00" * (LARGEST // 2 - 30) + b"\xff\xd9", True),
    "alone": (jpeg_without_notes, lambda: b"\xff\xd8" + b"\xff\x01" * (LARGEST // 2 - 1), False),
    "zeros": (jpeg_without_notes, lambda: b"\xff\xd8\xff\xe0" + b"\xff\x00" * (LARGEST // 2 - 2), False),
    "restarts": (jpeg_without_notes, lambda: JPEG_HEAD + b"\xff\xd0" * (LARGEST // 2 - 30), False),
    "filled": (jpeg_without_notes, lambda: b"\xff\xd8" + b"\xff" * (LARGEST - 2), False),
    "segments": (jpeg_without_notes, lambda: b"\xff\xd8" + b"\xff\xe1\x00\x02" * (LARGEST // 4 - 1), False),
    "notes": (pdf_without_notes, lambda: b"%PDF-" + b"\xff\xe1\xff\xffExif\0\0" * (LARGEST // 10 - 1), True),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_largest_body_there_may_be__costs_within_a_second_and_60_mb(name: str) -> None:
    without_notes, made, is_picture = HOSTILE[name]
    content = made()
    size = len(content)
    assert size <= LARGEST
    answer = bounded(without_notes, content, memory=60 * MIB, cpu_s=1)
    assert isinstance(answer, bytes if is_picture else NotAPicture)
