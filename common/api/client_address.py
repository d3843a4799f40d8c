"""The address that a request came from: what attempts are counted by and security events name."""

from django.conf import settings
from django.http import HttpRequest
from rest_framework.request import Request


def client_address(request: HttpRequest | Request) -> str:
    """Return the address at the other end of the connection; where that is the proxy in front, the one it saw."""
    peer = str(request.META["REMOTE_ADDR"])
    forwarded = str(request.META.get("HTTP_X_FORWARDED_FOR", ""))
    if forwarded and peer in settings.TRUSTED_PROXIES:
        return forwarded.rpartition(",")[2].strip()
    return peer
