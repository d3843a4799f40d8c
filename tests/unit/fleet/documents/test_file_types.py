"""What a file is, by the published signatures of its format."""

import pytest

from fleet.rules.documents.file_types import DOCUMENTS, ENDINGS, media_type


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"%PDF-1.7\n...", "application/pdf"),
        (b"\xff\xd8\xff\xe0\x00\x10JFIF", "image/jpeg"),
        (b"\x89PNG\r\n\x1a\n\x00\x00", "image/png"),
        (b"RIFF\x24\x00\x00\x00WEBPVP8 ", None),
        (b"\x00\x00\x00\x18ftypheic\x00\x00", None),
        (b"", None),
        (b"%PDF", None),
        (b"RIFF\x24\x00\x00\x00WAVEfmt ", None),
        (b"\x00\x00\x00\x18ftypisom", None),
        (b"<svg xmlns='http://www.w3.org/2000/svg'>", None),
        (b"<html>%PDF-1.7", None),
        (b"MZ\x90\x00", None),
    ],
)
def test_content__says_what_it_is(content: bytes, expected: str | None) -> None:
    assert media_type(content) == expected


def test_every_type_taken__has_an_ending() -> None:
    assert set(ENDINGS) == DOCUMENTS
