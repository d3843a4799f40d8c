"""A file sent as the body itself, up to a size; what it is, is found from its content afterwards."""

from collections.abc import Mapping
from typing import IO

from drf_spectacular.types import OpenApiTypes
from rest_framework.parsers import BaseParser

from common.errors import TooLarge
from fleet.services.documents.files import MAX_BYTES

SENT = {"application/octet-stream": OpenApiTypes.BINARY}
"""A file that is sent, as the description has it: bytes. One media type, as generators of clients know no choice."""


class FileParser(BaseParser):
    """Any body as bytes; TooLarge `file_too_large`."""

    media_type = "*/*"

    def parse(  # type: ignore[override]  # a file is no mapping
        self, stream: IO[bytes], media_type: str | None = None, parser_context: Mapping[str, object] | None = None
    ) -> bytes:
        """Return the whole body."""
        content = stream.read(MAX_BYTES + 1)
        if len(content) > MAX_BYTES:
            raise TooLarge("file_too_large", max_bytes=MAX_BYTES)
        return content
