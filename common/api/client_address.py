"""Where a request comes from: one function, which attempts to sign in and security events are counted and told by."""

from django.conf import settings
from django.http import HttpRequest
from rest_framework.request import Request


def client_address(request: HttpRequest | Request) -> str:
    """Return the address a request came from: the one the proxy saw, where the service stands behind one."""
    forwarded = request.META.get("HTTP_X_FORWARDED_FOR", "")
    if settings.SECURE_PROXY_SSL_HEADER and forwarded:
        return str(forwarded).rpartition(",")[2].strip()
    return str(request.META["REMOTE_ADDR"])
