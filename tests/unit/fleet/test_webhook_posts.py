"""Posting signed bodies, against a real server on the loopback."""

import base64
import hashlib
import hmac
import socket
import time
from collections.abc import Iterator
from http.client import HTTPException
from http.server import BaseHTTPRequestHandler, HTTPServer
from threading import Event, Thread

import pytest

from fleet.services import webhook_posts
from fleet.services.webhook_posts import WebhookRefusedError, is_public, post_signed

KEY = bytes(range(32))
SECRET = "whsec_" + base64.b64encode(KEY).decode()


class Receiver(HTTPServer):
    status = 204
    verified: list[tuple[str, bool]]


class Handler(BaseHTTPRequestHandler):
    def do_POST(self) -> None:
        assert isinstance(self.server, Receiver)
        body = self.rfile.read(int(self.headers["Content-Length"]))
        signed = b".".join((self.headers["webhook-id"].encode(), self.headers["webhook-timestamp"].encode(), body))
        expected = base64.b64encode(hmac.digest(KEY, signed, hashlib.sha256)).decode()
        self.server.verified.append((self.headers["webhook-id"], self.headers["webhook-signature"] == "v1," + expected))
        self.send_response(self.server.status)
        self.send_header("Location", "/elsewhere")
        self.end_headers()

    def log_message(self, *_: object) -> None:
        pass


@pytest.fixture
def receiver() -> Iterator[Receiver]:
    with Receiver(("127.0.0.1", 0), Handler) as server:
        server.verified = []
        thread = Thread(target=server.serve_forever, args=(0.02,))
        thread.start()
        yield server
        server.shutdown()
        thread.join()


def post(server: Receiver, scheme: str = "http", *, to_private: bool = True) -> None:
    address = f"{scheme}://127.0.0.1:{server.server_port}/hook"
    post_signed(address, SECRET, "message-1", b'{"a": 1}', seconds=1700000000, to_private=to_private)


def test_taken__once_and_signed(receiver: Receiver) -> None:
    post(receiver)
    assert receiver.verified == [("message-1", True)]


@pytest.mark.parametrize("status", [302, 307, 404, 500])
def test_not_2xx__refused_and_not_followed(receiver: Receiver, status: int) -> None:
    receiver.status = status
    with pytest.raises(WebhookRefusedError, match=f"answered {status}"):
        post(receiver)
    assert receiver.verified == [("message-1", True)]


@pytest.mark.parametrize(("scheme", "why"), [("https", "not of the public network"), ("http", "not https")])
def test_by_default__nothing_reaches_a_private_address(receiver: Receiver, scheme: str, why: str) -> None:
    with pytest.raises(WebhookRefusedError, match=why):
        post(receiver, scheme, to_private=False)
    assert receiver.verified == []


@pytest.mark.parametrize(
    ("address", "public"),
    [
        ("10.0.0.1", False), ("127.0.0.1", False), ("169.254.1.1", False), ("100.64.0.1", False),
        ("224.0.0.1", False), ("192.168.0.1", False), ("::1", False), ("fe80::1%eth0", False), ("fd00::1", False),
        ("::ffff:10.0.0.1", False), ("2002:0a00:0001::1", False), ("64:ff9b::a00:1", False),
        ("8.8.8.8", True), ("2001:4860:4860::8888", True),
    ],
)  # fmt: skip
def test_address__public_or_not(address: str, public: bool) -> None:
    assert is_public(address) is public


def test_name_that_is_never_found__given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    asked = Event()

    def never(*_: object, **__: object) -> list[tuple[object, ...]]:
        asked.wait(5)
        raise OSError("nobody answered")

    monkeypatch.setattr(webhook_posts, "LOOK_UP_S", 0.1)
    monkeypatch.setattr(socket, "getaddrinfo", never)
    begun = time.monotonic()
    with pytest.raises(TimeoutError):
        post_signed("https://dispatch.example/hook", SECRET, "m", b"{}", seconds=1, to_private=False)
    assert time.monotonic() - begun < 2
    asked.set()


def test_name__looked_up_once_and_posted_to_what_was_judged(
    receiver: Receiver, monkeypatch: pytest.MonkeyPatch
) -> None:
    truly, asked = socket.getaddrinfo, []

    def answer(host: str, port: int, *given: int, **named: int) -> list[tuple[object, ...]]:
        asked.append(host)
        return list(truly("127.0.0.1" if host == "dispatch.example" else host, port, *given, **named))

    monkeypatch.setattr(socket, "getaddrinfo", answer)
    address = f"http://dispatch.example:{receiver.server_port}/hook"
    post_signed(address, SECRET, "message-1", b"{}", seconds=1, to_private=True)
    assert receiver.verified == [("message-1", True)]
    assert asked == ["dispatch.example", "127.0.0.1"]


@pytest.mark.parametrize("scheme", ["http", "https"])
def test_server_that_never_ends__cut_off(scheme: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(webhook_posts, "TOTAL_S", 0.3)
    with socket.create_server(("127.0.0.1", 0)) as silent:
        stop = Event()

        def drip() -> None:
            peer, _ = silent.accept()
            with peer:
                # A handshake record that announces more than ever comes, or the beginning of a status line.
                peer.sendall(b"\x16\x03\x03\x40\x00" if scheme == "https" else b"HTTP/1.1 ")
                while not stop.wait(0.05):
                    try:
                        peer.sendall(b"2")
                    except OSError:
                        return

        thread = Thread(target=drip)
        thread.start()
        begun = time.monotonic()
        with pytest.raises((OSError, HTTPException)):
            post_signed(
                f"{scheme}://127.0.0.1:{silent.getsockname()[1]}/", SECRET, "m", b"{}", seconds=1, to_private=True
            )
        lasted = time.monotonic() - begun
        stop.set()
        thread.join()
    assert lasted < 3
