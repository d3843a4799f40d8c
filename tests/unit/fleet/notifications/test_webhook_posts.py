"""Posting signed bodies, against a real server on the loopback."""

import base64
import hashlib
import hmac
import socket
import ssl
import time
from collections.abc import Iterator
from http.client import HTTPException
from http.server import BaseHTTPRequestHandler, HTTPServer
from pathlib import Path
from threading import Event, Thread

import pytest

from fleet.services.notifications import webhook_posts
from fleet.services.notifications.webhook_posts import WebhookRefusedError, post_signed
from tests.support.certificates import make_authority

KEY = bytes(range(32))
SECRET = "whsec_" + base64.b64encode(KEY).decode()


class Receiver(HTTPServer):
    status = 204
    verified: list[tuple[str, bool]]
    hosts: list[str]


class Handler(BaseHTTPRequestHandler):
    def do_POST(self) -> None:
        assert isinstance(self.server, Receiver)
        body = self.rfile.read(int(self.headers["Content-Length"]))
        signed = b".".join((self.headers["webhook-id"].encode(), self.headers["webhook-timestamp"].encode(), body))
        expected = base64.b64encode(hmac.digest(KEY, signed, hashlib.sha256)).decode()
        self.server.verified.append((self.headers["webhook-id"], self.headers["webhook-signature"] == "v1," + expected))
        self.server.hosts.append(self.headers["Host"])
        self.send_response(self.server.status)
        self.send_header("Location", "/elsewhere")
        self.end_headers()

    def log_message(self, *_: object) -> None:
        pass


@pytest.fixture
def receiver() -> Iterator[Receiver]:
    with Receiver(("127.0.0.1", 0), Handler) as server:
        server.verified, server.hosts = [], []
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


class TestTls:
    """The handshake to its end, with the host's name asked for, sent as Host and looked for in the certificate."""

    @pytest.fixture
    def asked_for(self) -> list[str]:
        return []

    @pytest.fixture(autouse=True)
    def server(
        self, receiver: Receiver, asked_for: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ) -> Receiver:
        authority = make_authority(tmp_path)
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(*authority.sign_for("dispatch.example"))
        context.sni_callback = lambda _connection, name, _context: asked_for.append(name)
        receiver.socket = context.wrap_socket(receiver.socket, server_side=True)
        truly = socket.getaddrinfo
        monkeypatch.setattr(socket, "getaddrinfo", lambda _host, *given, **named: truly("127.0.0.1", *given, **named))
        monkeypatch.setenv("SSL_CERT_FILE", str(authority.certificate))
        return receiver

    def post_to(self, name: str, server: Receiver) -> None:
        address = f"https://{name}:{server.server_port}/hook"
        post_signed(address, SECRET, "message-1", b"{}", seconds=1, to_private=True)

    def test_certificate_of_that_host__taken(self, server: Receiver, asked_for: list[str]) -> None:
        self.post_to("dispatch.example", server)
        assert server.verified == [("message-1", True)]
        assert asked_for == ["dispatch.example"]
        assert server.hosts == [f"dispatch.example:{server.server_port}"]

    @pytest.mark.parametrize("name", ["other.example", "127.0.0.1"])
    def test_certificate_of_another_host__refused_before_anything_is_sent(self, server: Receiver, name: str) -> None:
        with pytest.raises(ssl.SSLCertVerificationError, match="mismatch"):
            self.post_to(name, server)
        assert server.verified == []

    def test_authority_that_nobody_trusts__refused(self, server: Receiver, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.delenv("SSL_CERT_FILE")
        with pytest.raises(ssl.SSLCertVerificationError, match=r"self-signed|unable to get local issuer"):
            self.post_to("dispatch.example", server)
        assert server.verified == []
