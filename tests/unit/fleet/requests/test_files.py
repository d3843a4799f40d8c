"""Reading a file that is the body itself."""

from io import BytesIO

import pytest

from common.errors import TooLarge
from fleet.api.requests.files import FileParser
from fleet.services.documents.files import MAX_BYTES


def test_body_at_its_largest__is_read_whole() -> None:
    assert len(FileParser().parse(BytesIO(b"x" * MAX_BYTES))) == MAX_BYTES


def test_larger_body__is_refused_after_one_byte_too_many() -> None:
    stream = BytesIO(b"x" * (MAX_BYTES + 100))
    with pytest.raises(TooLarge, match="file_too_large"):
        FileParser().parse(stream)
    assert stream.tell() == MAX_BYTES + 1
