"""The name of one request, in its answer and its log lines. Holds no storage."""

import re

from django.http import HttpRequest

from common.causes import begin_cause
from common.ids import uuid7

HEADER = "X-Request-Id"
_META_KEY = "common.request_id"
_SAFE = re.compile(r"[A-Za-z0-9._-]{1,64}")


def assign_request_id(request: HttpRequest) -> str:
    """Name the request as the caller named it, if that is safe to repeat in headers and logs, else anew."""
    given = request.headers.get(HEADER, "")
    name = given if _SAFE.fullmatch(given) else str(uuid7())
    request.META[_META_KEY] = name
    begin_cause(name)
    return name


def request_id(request: HttpRequest) -> str:
    """Return the request's name; assigned now where no middleware did."""
    name = request.META.get(_META_KEY)
    return name if isinstance(name, str) else assign_request_id(request)
