"""Where the `type` of a problem leads: each code with its meaning; and the answers to errors outside any view."""

import sys
from http import HTTPStatus

from django.http import Http404, HttpRequest, HttpResponse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from common import messages
from common.api.plain_views import without_query
from common.api.problem_document import problem_response, problem_type
from common.api.problems import problem_for
from common.messages import current_language

CODE_BY_STATUS = {
    400: "bad_request",
    401: "not_authenticated",
    403: "permission_denied",
    404: "not_found",
    405: "method_not_allowed",
    406: "not_acceptable",
    412: "version_changed",
    413: "request_too_large",
    415: "unsupported_media_type",
    429: "throttled",
}
"""The code of a bare error answer by its status; any other 4xx is `bad_request`, any 5xx `error`."""


@require_safe
@without_query
def problem_index(request: HttpRequest) -> HttpResponse:  # noqa: ARG001 - Django's signature
    """Every code there is, with its meaning."""
    return _page(_("Problems"), format_html_join("", "{}", ((_entry(code),) for code in messages.registered_codes())))


@require_safe
@without_query
def problem_page(request: HttpRequest, code: str) -> HttpResponse:  # noqa: ARG001 - Django's signature
    """One code with its meaning; 404 for one that is not there."""
    if code not in messages.registered_codes():
        raise Http404
    return _page(code, _entry(code))


def status_problem(request: HttpRequest, status: int) -> HttpResponse:
    """Return the problem for an error answer of which nothing but the status is known."""
    code = CODE_BY_STATUS.get(status, "error" if status >= HTTPStatus.INTERNAL_SERVER_ERROR else "bad_request")
    return problem_response(
        request, status, code, {"method": request.method} if status == HTTPStatus.METHOD_NOT_ALLOWED else None
    )


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Django's handler400."""
    return problem_for(exception, request) or status_problem(request, 400)


def permission_denied(request: HttpRequest, exception: Exception) -> HttpResponse:  # noqa: ARG001 - Django's signature
    """Django's handler403."""
    return status_problem(request, 403)


def page_not_found(request: HttpRequest, exception: Exception) -> HttpResponse:  # noqa: ARG001 - Django's signature
    """Django's handler404."""
    return status_problem(request, 404)


def server_error(request: HttpRequest) -> HttpResponse:
    """Django's handler500, called while the exception is being handled: a lost database is told from a bug."""
    exception = sys.exc_info()[1]
    known = problem_for(exception, request) if exception is not None else None
    return known or status_problem(request, 500)


def _entry(code: str) -> SafeString:
    wording = messages.wording(code)
    title = f" - {wording.title}" if wording.title else ""
    return format_html('<dt><a href="{}">{}</a>{}</dt><dd>{}</dd>', problem_type(code), code, title, wording.template)


def _page(title: str, entries: SafeString) -> HttpResponse:
    return HttpResponse(
        format_html(
            '<!doctype html><html lang="{}"><meta charset="utf-8"><title>{}</title><h1>{}</h1><dl>{}</dl></html>',
            current_language(),
            title,
            title,
            entries,
        )
    )
