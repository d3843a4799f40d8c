"""Telling a version in ETag and reading it back from If-Match (RFC 9110 section 13, RFC 6585 section 3)."""

import re

from django.http import HttpResponseBase
from rest_framework.request import Request

from common.errors import PreconditionRequired, Unreadable
from common.versions import Versioned, etag

_STRONG = re.compile(r'"(\d{1,16})"', re.ASCII)
_TAG = re.compile(r'(W/)?"[\x21\x23-\x7e\x80-\xff]*"')


def set_etag(response: HttpResponseBase, row: Versioned) -> None:
    """Tell the row's version in the answer. Only where the version covers all that the answer shows."""
    response.headers["ETag"] = etag(row.version)


def expected_version(request: Request) -> int | None:
    """Return the version that the caller saw, for a service to compare under its lock; None for one there never was.

    Raises PreconditionRequired `if_match_required` (also for `*`, which names no version) and Unreadable
    `if_match_malformed`. A weak tag never matches, since If-Match compares strongly.
    """
    given = request.headers.get("If-Match", "").strip()
    if given in {"", "*"}:
        raise PreconditionRequired("if_match_required")
    if not _TAG.fullmatch(given):
        raise Unreadable("if_match_malformed")
    match = _STRONG.fullmatch(given)
    return int(match.group(1)) if match else None
