"""The one way from a page to the service: an operation of the API, called in process as the person signed in."""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from http import HTTPStatus
from io import BytesIO
from typing import Any
from urllib.parse import quote, urlencode

from django.http import HttpRequest
from django.http.response import HttpResponseBase
from django.template.response import SimpleTemplateResponse
from django.urls import resolve
from django.utils.translation import get_language

from fleet.api.requests.authentication import PageRequest, PageSession

PREFIX = "/api/v1/"
HANDED_ON = (
    *("REMOTE_ADDR", "SERVER_NAME", "SERVER_PORT", "SERVER_PROTOCOL", "wsgi.url_scheme", "wsgi.errors"),
    *("HTTP_HOST", "HTTP_X_FORWARDED_FOR", "HTTP_USER_AGENT", "common.request_id"),
)
"""What a call takes over from the page's request: where it comes from and its name; never a cookie or a token."""

Query = Mapping[str, str | Sequence[str]]


@dataclass(frozen=True)
class ApiAnswer:
    """What the API answered: status, headers and content, as it would have been sent."""

    status: int
    headers: Mapping[str, str]
    content: bytes

    @property
    def succeeded(self) -> bool:
        """Whether it is no problem."""
        return self.status < HTTPStatus.BAD_REQUEST

    @cached_property
    def body(self) -> Any:
        """The JSON of it; None where there is no content."""
        return json.loads(self.content) if self.content else None


class ProblemAnsweredError(Exception):
    """The API answered with a problem that the page has no place for."""

    def __init__(self, answer: ApiAnswer) -> None:
        super().__init__(answer.body.get("code"))
        self.answer = answer


def call(
    page: HttpRequest,
    session: PageSession | None,
    method: str,
    path: str,
    *,
    query: Query | None = None,
    body: object = None,
    headers: Mapping[str, str] | None = None,
) -> ApiAnswer:
    """Run an operation's view with its authentication, permissions, parsing and errors; `path` is below the prefix.

    `body` is sent as JSON, bytes as they are. Nothing goes over the network: a process that called itself would wait
    for its own workers. Resolver404 for an address that the API does not have.
    """
    content = body if isinstance(body, bytes) else b"" if body is None else json.dumps(body).encode()
    whole = f"{PREFIX}{path}"
    asked = PageRequest(
        {
            **{name: page.META[name] for name in HANDED_ON if name in page.META},
            "REQUEST_METHOD": method,
            "SCRIPT_NAME": "",
            "PATH_INFO": whole,
            "QUERY_STRING": urlencode(query or {}, doseq=True),
            "CONTENT_TYPE": "application/octet-stream" if isinstance(body, bytes) else "application/json",
            "CONTENT_LENGTH": str(len(content)),
            "HTTP_ACCEPT": "*/*",
            "HTTP_ACCEPT_LANGUAGE": get_language() or "",
            "wsgi.input": BytesIO(content),
            **{f"HTTP_{name.upper().replace('-', '_')}": value for name, value in (headers or {}).items()},
        }
    )
    asked.page_session = session
    asked.resolver_match = match = resolve(whole)
    return _read(match.func(asked, *match.args, **match.kwargs))


def address(*parts: str) -> str:
    """A path below the API's prefix out of its parts, each as it may stand in an address."""
    return "/".join(quote(part, safe="@") for part in parts)


def _read(response: HttpResponseBase) -> ApiAnswer:
    if isinstance(response, SimpleTemplateResponse):
        response.render()
    content = b"".join(response)
    closers: Sequence[Callable[[], None]] = getattr(response, "_resource_closers", ())
    for close in closers:  # close() of the response itself would end the page's own request with it
        close()
    return ApiAnswer(response.status_code, dict(response.headers), content)
