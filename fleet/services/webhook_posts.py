"""Posting a signed body to an address that was checked. Knows nothing of notices, leases or who has an endpoint."""

import base64
import hashlib
import hmac
import socket
import ssl
from concurrent.futures import Future
from http.client import HTTPConnection
from ipaddress import IPv6Address, IPv6Network, ip_address
from threading import Thread, Timer
from urllib.parse import urlsplit

LOOK_UP_S = 5
CONNECT_S = 5
TOTAL_S = 10
TAKEN = range(200, 300)
PREFIX = "whsec_"
_NAT64 = IPv6Network("64:ff9b::/96")


class WebhookRefusedError(Exception):
    """The address may not be posted to, or its answer was not of the 2xx kind."""


def signature(secret: str, name: str, seconds: int, body: bytes) -> str:
    """The `webhook-signature` of the Standard Webhooks scheme; `secret` is `whsec_` and base64."""
    key = base64.b64decode(secret.removeprefix(PREFIX), validate=True)
    signed = f"{name}.{seconds}.".encode() + body
    return "v1," + base64.b64encode(hmac.new(key, signed, hashlib.sha256).digest()).decode()


def is_public(address: str) -> bool:
    """Whether an address is of the public network; those that carry another inside (mapped, 6to4, NAT64) are not."""
    found = ip_address(address.partition("%")[0])
    if isinstance(found, IPv6Address):
        carries = found.ipv4_mapped or found.sixtofour or found.teredo
        if carries or found in _NAT64:
            return False
    return found.is_global and not found.is_multicast


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
    connection = HTTPConnection(parts.hostname, port)
    raw = socket.create_connection((min(found), port), timeout=CONNECT_S)
    raw.settimeout(TOTAL_S)
    if parts.scheme == "https":
        # The wrapped socket takes the descriptor over, so it is the one to cut; it greets once the clock runs.
        context = ssl.create_default_context()
        raw = context.wrap_socket(raw, server_hostname=parts.hostname, do_handshake_on_connect=False)
    # A server that answers a byte at a time would never meet the socket's own timeout.
    ending = Timer(TOTAL_S, socket.socket.shutdown, (raw, socket.SHUT_RDWR))
    ending.daemon = True
    ending.start()
    try:
        if isinstance(raw, ssl.SSLSocket):
            raw.do_handshake()
        connection.sock = raw
        connection.request(
            "POST",
            (parts.path or "/") + (f"?{parts.query}" if parts.query else ""),
            body,
            {
                "Content-Type": "application/json",
                "webhook-id": name,
                "webhook-timestamp": str(seconds),
                "webhook-signature": signature(secret, name, seconds, body),
            },
        )
        status = connection.getresponse().status
        if status not in TAKEN:
            raise WebhookRefusedError(f"answered {status}")
    finally:
        ending.cancel()
        connection.close()
        raw.close()


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
