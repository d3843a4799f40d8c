"""What gunicorn answers by itself, before the service sees the request: problems, and no HTML of its own."""

import socket
from http import HTTPStatus
from typing import Any

from django.http import HttpRequest
from gunicorn.http.message import Request
from gunicorn.workers.sync import SyncWorker

from common.api.problem_document import problem_response
from common.api.request_id import HEADER, request_id

CODES = {
    HTTPStatus.REQUEST_URI_TOO_LONG: "request_too_large",
    HTTPStatus.REQUEST_HEADER_FIELDS_TOO_LARGE: "request_too_large",
    HTTPStatus.INTERNAL_SERVER_ERROR: "error",
}
"""The code of a refusal by its status; any other is `bad_request`."""


class ProblemWorker(SyncWorker):
    """A worker that refuses what is no request of HTTP, or too long a one, with a problem document as well."""

    def handle_error(self, req: Request | None, client: socket.socket, addr: Any, exc: BaseException) -> None:
        """Log and answer as gunicorn does, in another form."""
        super().handle_error(req, ProblemSocket(client), addr, exc)


class ProblemSocket:
    """Stands before a connection while one refusal is written to it, of which it takes over nothing but the status."""

    def __init__(self, connection: socket.socket) -> None:
        self.connection = connection

    def sendall(self, page: bytes) -> None:
        """Send the problem in the place of a page that begins with the status line."""
        self.connection.sendall(refusal(int(page.split(b" ", 2)[1])))

    def __getattr__(self, name: str) -> Any:
        """Be the connection in everything else."""
        return getattr(self.connection, name)


def refusal(status: int) -> bytes:
    """Return the whole answer; in the service's own language, since of the request nothing can be relied on."""
    request = HttpRequest()
    problem = problem_response(request, status, CODES.get(HTTPStatus(status), "bad_request"))
    problem.headers["Content-Length"] = str(len(problem.content))
    problem.headers["Cache-Control"] = "no-store"
    problem.headers["Connection"] = "close"
    problem.headers[HEADER] = request_id(request)
    head = f"HTTP/1.1 {status} {HTTPStatus(status).phrase}\r\n".encode()
    return head + problem.serialize_headers() + b"\r\n\r\n" + problem.content
