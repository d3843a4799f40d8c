"""Secrets of addresses that notifications are posted to, and which addresses may be recorded. Opens no connection."""

import base64
from urllib.parse import urlsplit

SECRET_BYTES = 32


def secret_of(random: bytes) -> str:
    """A secret in the form of the open Standard Webhooks scheme (from memory of it), from random bytes."""
    return "whsec_" + base64.b64encode(random).decode()


def url_problem(url: str, *, private: bool) -> str | None:
    """The code of what is wrong with an address to post to: https with a host, and nothing secret in it.

    With `private`, plain http will do: the address may lie inside the carrier's own network.
    """
    try:
        parts = urlsplit(url)
        port = parts.port
    except ValueError:
        return "webhook_url_malformed"
    if parts.scheme not in ({"https", "http"} if private else {"https"}):
        return "webhook_not_https"
    if not parts.hostname or parts.username or parts.password or parts.fragment or port == 0:
        return "webhook_url_malformed"
    return None if url.isascii() and url.isprintable() and " " not in url else "webhook_url_malformed"
