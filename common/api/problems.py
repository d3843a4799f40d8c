"""From whatever went wrong to its problem document: the one place where refusals meet HTTP statuses."""

from collections.abc import Mapping
from http import HTTPStatus

from django.core.exceptions import BadRequest, PermissionDenied, RequestDataTooBig, SuspiciousOperation
from django.db import IntegrityError
from django.http import Http404, HttpRequest, HttpResponse
from django.http.request import UnreadablePostError
from rest_framework import exceptions as drf
from rest_framework.request import Request
from rest_framework.views import set_rollback

from common import errors, messages
from common.api.database_errors import integrity_refusal, lost_database_refusal
from common.api.problem_document import field_error, problem_response

STATUS_BY_KIND: Mapping[type[errors.DomainError], int] = {
    errors.Unreadable: 400,
    errors.NotSignedIn: 401,
    errors.NotAllowed: 403,
    errors.NotFound: 404,
    errors.Conflict: 409,
    errors.PreconditionFailed: 412,
    errors.TooLarge: 413,
    errors.Invalid: 422,
    errors.PreconditionRequired: 428,
    errors.TooOften: 429,
    errors.Unavailable: 503,
}
"""400 when the request itself cannot be read (syntax, header, query), 422 when a value in its body is refused."""

SIGN_IN_SCHEME = "Bearer"


def status_of(kind: type[errors.DomainError]) -> int:
    return next(STATUS_BY_KIND[each] for each in kind.__mro__ if each in STATUS_BY_KIND)


def exception_handler(exc: Exception, context: Mapping[str, object]) -> HttpResponse | None:
    """Django REST framework's hook: the problem for an exception, None for one that nobody foresaw (500)."""
    request = context["request"]
    if isinstance(request, Request):
        request = request._request  # noqa: SLF001 - the one documented way back to Django's request
    if not isinstance(request, HttpRequest):
        msg = "the framework calls this with the request in its context"
        raise TypeError(msg)
    response = problem_for(exc, request)
    if response is not None:
        set_rollback()
    return response


def problem_for(exc: BaseException, request: HttpRequest) -> HttpResponse | None:
    """Return the problem for an exception from anywhere, None for one that nobody foresaw."""
    if isinstance(exc, IntegrityError):
        exc = integrity_refusal(exc)
    exc = lost_database_refusal(exc) or exc
    if isinstance(exc, errors.DomainError):
        return _domain_problem(exc, request)
    if isinstance(exc, drf.APIException):
        return _framework_problem(exc, request)
    for kinds, status, code in _DJANGO_KINDS:
        if isinstance(exc, kinds):
            return problem_response(request, status, code)
    return None


_DJANGO_KINDS: tuple[tuple[type[Exception] | tuple[type[Exception], ...], int, str], ...] = (
    (RequestDataTooBig, 413, "request_too_large"),
    ((SuspiciousOperation, BadRequest, UnreadablePostError), 400, "bad_request"),
    (PermissionDenied, 403, "permission_denied"),
    (Http404, 404, "not_found"),
)


def _domain_problem(exc: errors.DomainError, request: HttpRequest) -> HttpResponse:
    status = status_of(type(exc))
    headers = {"WWW-Authenticate": SIGN_IN_SCHEME} if status == HTTPStatus.UNAUTHORIZED else {}
    found = (field_error(problem) for problem in exc.problems)
    return problem_response(request, status, exc.code, exc.facts, errors=found, headers=headers)


def _framework_problem(exc: drf.APIException, request: HttpRequest) -> HttpResponse:
    """Return a refusal of the framework by its own code; a view may give a code of its own that has a sentence."""
    codes = exc.get_codes()
    own = codes if isinstance(codes, str) and codes in messages.registered_codes() else exc.default_code
    facts: dict[str, object] = {}
    headers: dict[str, str] = {}
    if exc.status_code == HTTPStatus.UNAUTHORIZED:
        headers["WWW-Authenticate"] = getattr(exc, "auth_header", None) or SIGN_IN_SCHEME
    if isinstance(exc, drf.MethodNotAllowed):
        facts["method"] = request.method
    wait = getattr(exc, "wait", None)
    if wait is not None:
        facts["retry_after"] = int(wait)
    return problem_response(request, exc.status_code, str(own), facts, headers=headers)
