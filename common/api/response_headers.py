"""The headers of a response, told to the OpenAPI document by what an operation's code sets. Sets none itself."""

from collections.abc import Iterable, Iterator, Mapping
from http import HTTPStatus
from typing import Any

from common.api.operation_problems import behind, is_tagged, stores_responses
from common.api.reach import mentioned_in
from common.api.views import set_etag

TEXT = {"type": "string"}
HEADERS: Mapping[str, tuple[str, Mapping[str, object]]] = {
    "Content-Disposition": ("Under which name the file is to be kept.", TEXT),
    "ETag": (
        "Of all that is shown, opening with the version where it is edited; for If-None-Match and If-Match.",
        TEXT,
    ),
    "Idempotency-Replayed": (
        "Sent where this is the stored response to an earlier request under the same key.",
        {"const": "true"},
    ),
    "Link": ("Where the pages are (RFC 8288); of a problem, where its code is explained.", TEXT),
    "Location": ("Where what was made can be read.", {"type": "string", "format": "uri-reference"}),
    "Retry-After": ("Seconds after which it may be tried again.", {"type": "integer", "minimum": 0}),
    "WWW-Authenticate": ("How to sign in.", TEXT),
    "X-Request-Id": ("The name of this request, in its log lines and as `instance` of its problem.", TEXT),
}
"""By name what it says, and its schema."""
SOMETIMES = frozenset({"Content-Disposition", "Idempotency-Replayed", "Link", "Retry-After"})
TRIED_AGAIN = frozenset({HTTPStatus.CONFLICT, HTTPStatus.TOO_MANY_REQUESTS, HTTPStatus.SERVICE_UNAVAILABLE})


def header_components() -> dict[str, dict[str, object]]:
    """Return the headers as components of the document; those that are always sent where they are told are required."""
    return {
        name: {"description": said, "required": name not in SOMETIMES, "schema": dict(schema)}
        for name, (said, schema) in HEADERS.items()
    }


def described_headers(names: Iterable[str]) -> dict[str, dict[str, str]]:
    """Return headers of one response as references to their components."""
    return {name: {"$ref": f"#/components/headers/{name}"} for name in sorted(names)}


def problem_headers(status: int) -> Iterator[str]:
    yield from ("X-Request-Id", "Link")
    if status == HTTPStatus.UNAUTHORIZED:
        yield "WWW-Authenticate"
    if status in TRIED_AGAIN:
        yield "Retry-After"


def success_headers(view: Any, action: str, method: str, status: int) -> Iterator[str]:
    """Name the headers of what an operation answers with when it is done."""
    yield "X-Request-Id"
    if action == "list":
        yield "Link"
    if stores_responses(view, method):
        yield "Idempotency-Replayed"
    steps = behind(view, action, method)
    if status == HTTPStatus.CREATED and mentioned_in(steps, "Location"):
        yield "Location"
    if mentioned_in(steps, "Content-Disposition"):
        yield "Content-Disposition"
    versioned = steps if getattr(view, "if_match", ()) else {step for step in steps if step.function is not set_etag}
    if is_tagged(view, action, method) or mentioned_in(versioned, "ETag"):
        yield "ETag"
