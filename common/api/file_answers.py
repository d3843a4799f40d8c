"""Answers that are files: given whatever the Accept header says, as the one form that their address names."""

from collections.abc import Iterable, Mapping
from tempfile import TemporaryFile
from typing import Any, TypeVar

from django.http import FileResponse, HttpResponse
from rest_framework.renderers import BaseRenderer

R = TypeVar("R", HttpResponse, FileResponse)


class FileRenderer(BaseRenderer):
    """For views whose answers are files: any Accept header fits. Problems are written as everywhere."""

    media_type = "*/*"
    format = "file"

    def render(
        self, data: Any, accepted_media_type: str | None = None, renderer_context: Mapping[str, Any] | None = None
    ) -> Any:
        """Refuse: the view gives its file itself."""
        raise TypeError("a view of files answers with a file")


def file_answer(content: bytes, name: str, media_type: str) -> HttpResponse:
    """Return a file to be kept under a name."""
    return named(HttpResponse(content, content_type=media_type), name)


def spooled_answer(pieces: Iterable[bytes], name: str, media_type: str) -> FileResponse:
    """Return a file made of pieces, however long: written to the disk first, so that a failure is no answer of 200."""
    spool = TemporaryFile()  # noqa: SIM115 - closed by the response, or below
    try:
        for piece in pieces:
            spool.write(piece)
        spool.seek(0)
    except BaseException:
        spool.close()
        raise
    return named(FileResponse(spool, content_type=media_type), name)


def named(response: R, name: str) -> R:
    """Return a file with the name under which it is to be kept."""
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response
