"""What happens around every request: its name, safe headers, and a problem document for an error outside any view."""

import re
from collections.abc import Callable
from http import HTTPStatus

from django.http import HttpRequest, HttpResponse, HttpResponseBase
from django.utils.cache import get_conditional_response, patch_vary_headers

from common.api.client_address import client_address
from common.api.problem_pages import status_problem
from common.api.problems import problem_for
from common.api.request_id import HEADER, assign_request_id
from common.api.storing import storing
from common.canonical import sha256_hex
from common.security import coming_from

Answer = Callable[[HttpRequest], HttpResponseBase]

SECURITY_HEADERS = {
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}
"""Beside those of Django's own SecurityMiddleware and XFrameOptionsMiddleware."""
DATA_POLICY = "default-src 'none'; frame-ancestors 'none'"
PAGE_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; connect-src 'self'; "
    "manifest-src 'self'; worker-src 'self'; form-action 'self'; frame-ancestors 'none'; base-uri 'none'"
)
"""Nothing inline, nothing evaluated, nothing from elsewhere; a photo just taken is shown as a blob."""


class RequestIdMiddleware:
    """Names every request, says the name in the answer, and notes where it came from. Stands first."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer with `X-Request-Id`."""
        name = assign_request_id(request)
        with coming_from(client_address(request)):
            response = self.get_response(request)
        response.headers[HEADER] = name
        return response


class SecurityHeadersMiddleware:
    """Sets headers that keep answers out of shared caches and foreign pages, where a view set none itself."""

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer with the headers above."""
        response = self.get_response(request)
        for name, value in SECURITY_HEADERS.items():
            response.headers.setdefault(name, value)
        page = _media_type(response) == "text/html"
        response.headers.setdefault("Content-Security-Policy", PAGE_POLICY if page else DATA_POLICY)
        response.headers.setdefault("Cache-Control", storing(request.path))
        patch_vary_headers(response, ["Authorization"])
        return response


class ProblemMiddleware:
    """Turns every bare error answer into a problem document, and foreseen exceptions of plain views as well.

    An answer with `is_page` is not bare: it says to a person what was wrong.

    Stands inside Django's LocaleMiddleware (for the language) and around everything that may fail.
    """

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer with a problem document where the answer would be a bare error."""
        response = self.get_response(request)
        stands = response.streaming or _media_type(response) not in _BARE or getattr(response, "is_page", False)
        if response.status_code < HTTPStatus.BAD_REQUEST or stands:
            return response
        problem = status_problem(request, response.status_code)
        for name, value in response.headers.items():
            if name not in {"Content-Type", "Content-Length"}:
                problem.headers[name] = value
        return problem

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        """Return the problem for an exception of a view outside the API framework; None hands it on to Django."""
        return problem_for(exception, request)


class EntityTagMiddleware:
    """Tags what is answered in one piece by all that it shows, and heeds the conditions of a read (RFC 9110, 13.2.2).

    The tag is a hash of the body, behind the row's version where the view told one; another tag of a view is left
    alone. An error and a stream have none.
    """

    def __init__(self, get_response: Answer) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        """Answer with `ETag`; 304 where the caller has it already, 412 where the caller wants another."""
        response = self.get_response(request)
        succeeded = HTTPStatus.OK <= response.status_code < HTTPStatus.MULTIPLE_CHOICES
        if not isinstance(response, HttpResponse) or not succeeded:
            return response
        tag, reads = response.headers.get("ETag"), request.method in {"GET", "HEAD"}
        if response.content and (reads if tag is None else _VERSION.fullmatch(tag)):
            body = sha256_hex(response.content)[:16]
            tag = f'"{body}"' if tag is None else f'{tag[:-1]}-{body}"'
            response.headers["ETag"] = tag
        met = get_conditional_response(request, etag=tag, response=response) if reads and tag else None
        return met or response


_VERSION = re.compile(r'"\d+"')
_BARE = frozenset({"text/html", "text/plain", ""})


def _media_type(response: HttpResponseBase) -> str:
    return response.headers.get("Content-Type", "").partition(";")[0].strip().lower()
