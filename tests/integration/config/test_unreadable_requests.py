"""What the server itself refuses, before the service sees a request, is a problem document like every other refusal."""

import json
import socket
from email.parser import BytesParser
from urllib.parse import urlsplit

REFUSED = {
    "GET /livez HTTP/1.1\r\nHost: x\r\nContent-Length: many\r\n\r\n": (
        400,
        "bad_request",
        "The request cannot be read",
    ),
    "GET /livez HTTP/9.9\r\nHost: x\r\n\r\n": (400, "bad_request", "The request cannot be read"),
    "nonsense\r\n\r\n": (400, "bad_request", "The request cannot be read"),
    "GET /livez HTTP/1.1\r\nHost: x\r\nTransfer-Encoding: rot13\r\n\r\n": (501, "bad_request", "Not implemented"),
    f"GET /livez?{'x' * 5000} HTTP/1.1\r\nHost: x\r\n\r\n": (414, "request_too_large", "Too large"),
    f"GET /livez HTTP/1.1\r\nHost: x\r\nX-Long: {'x' * 9000}\r\n\r\n": (431, "request_too_large", "Too large"),
}


def _answer(address: str, request: str) -> bytes:
    """Everything that comes back until the server closes the connection."""
    place = urlsplit(address)
    with socket.create_connection((str(place.hostname), place.port or 0), timeout=20) as connection:
        connection.sendall(request.encode())
        connection.shutdown(socket.SHUT_WR)
        return b"".join(iter(lambda: connection.recv(65536), b""))


def test_no_request_of_http_or_too_long_a_one__refused_with_a_problem(server: str) -> None:
    for request, expected in REFUSED.items():
        head, _, body = _answer(server, request).partition(b"\r\n\r\n")
        status, _, lines = head.partition(b"\r\n")
        headers = BytesParser().parsebytes(lines, headersonly=True)

        problem = json.loads(body)
        assert (problem["status"], problem["code"], problem["title"]) == expected, request[:40]
        assert status.split()[1] == str(expected[0]).encode()
        assert headers["Content-Type"] == "application/problem+json"
        assert headers["Content-Length"] == str(len(body))
        assert headers["Connection"] == "close"
        assert headers["X-Request-Id"] == problem["instance"]
