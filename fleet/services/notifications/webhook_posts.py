"""Posting a signed body to an address that was checked. Knows no notification, lease or owner of an endpoint."""

import base64
import hashlib
import hmac
import socket
import ssl
from concurrent.futures import Future
from contextlib import suppress
from threading import Thread, Timer
from urllib.parse import SplitResult, urlsplit

from urllib3.connection import HTTPConnection, HTTPSConnection

from fleet.rules.notifications.webhooks import is_public

LOOK_UP_S = 5
CONNECT_S = 5
TOTAL_S = 10
TAKEN = range(200, 300)
PREFIX = "whsec_"


class WebhookRefusedError(Exception):
    """The address may not be posted to, or its answer was not of the 2xx kind."""


def signature(secret: str, name: str, seconds: int, body: bytes) -> str:
    """The `webhook-signature` of the Standard Webhooks scheme; `secret` is `whsec_` and base64."""
    key = base64.b64decode(secret.removeprefix(PREFIX), validate=True)
    signed = f"{name}.{seconds}.".encode() + body
    return "v1," + base64.b64encode(hmac.new(key, signed, hashlib.sha256).digest()).decode()


def post_signed(url: str, secret: str, name: str, body: bytes, *, seconds: int, to_private: bool) -> None:
    """Post a JSON body, following nothing; WebhookRefusedError and OSError pass. `to_private` also allows http.

    It goes to the address that was judged: the name is looked up once.
    """
    parts = urlsplit(url)
    if parts.hostname is None or parts.scheme not in (("https", "http") if to_private else ("https",)):
        raise WebhookRefusedError("the address is not https")
    port = parts.port or (443 if parts.scheme == "https" else 80)
    found = _addresses_of(parts.hostname, port)
    if not to_private and not all(is_public(address) for address in found):
        raise WebhookRefusedError("the address is not of the public network")
    connection = _connection(parts, min(found), port)
    try:
        connection.request(
            "POST",
            (parts.path or "/") + (f"?{parts.query}" if parts.query else ""),
            body,
            {
                "Host": parts.netloc.rpartition("@")[2],
                "Content-Type": "application/json",
                "webhook-id": name,
                "webhook-timestamp": str(seconds),
                "webhook-signature": signature(secret, name, seconds, body),
            },
            preload_content=False,
        )
        status = connection.getresponse().status
        if status not in TAKEN:
            raise WebhookRefusedError(f"answered {status}")
    finally:
        connection.close()


class _CutOff(HTTPConnection):
    """A connection that ends `TOTAL_S` after it began: a server that sends a byte at a time meets no other limit."""

    _begun: tuple[socket.socket, Timer] | None = None

    def _new_conn(self) -> socket.socket:
        made = super()._new_conn()
        # TLS takes the first descriptor over before it greets; the second names the same connection all along.
        second = made.dup()
        ending = Timer(TOTAL_S, _cut, (second,))
        ending.daemon = True
        ending.start()
        self._begun = second, ending
        return made

    def close(self) -> None:
        """End it, cut off or not."""
        super().close()
        if self._begun is not None:
            second, ending = self._begun
            ending.cancel()
            second.close()
            self._begun = None


def _cut(connected: socket.socket) -> None:
    with suppress(OSError):  # the other end was quicker
        connected.shutdown(socket.SHUT_RDWR)


class _CutOffTls(_CutOff, HTTPSConnection):
    """The same behind TLS."""


def _connection(parts: SplitResult, address: str, port: int) -> HTTPConnection:
    """A connection to the judged address, not to the name again; the name is for TLS."""
    if parts.scheme == "http":
        return _CutOff(address, port, timeout=CONNECT_S)
    context = ssl.create_default_context()
    return _CutOffTls(address, port, timeout=CONNECT_S, server_hostname=parts.hostname, ssl_context=context)


def _addresses_of(host: str, port: int) -> set[str]:
    """Look a name up; TimeoutError after `LOOK_UP_S`, since the system's own look-up has no end that we could set."""
    answer: Future[set[str]] = Future()

    def look() -> None:
        try:
            answer.set_result({str(one[4][0]) for one in socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)})
        except (OSError, UnicodeError) as error:
            # Raised again to whoever waits for the answer.
            answer.set_exception(error)

    Thread(target=look, daemon=True).start()
    return answer.result(LOOK_UP_S)
