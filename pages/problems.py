"""What a person sees where there is no page to show: a sentence, and the way on."""

import json
from http import HTTPStatus

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _

from common.api import problem_pages
from pages.answers import page


def problem_page(request: HttpRequest, status: int, says: str) -> HttpResponse:
    """Answer with what was wrong in a sentence."""
    return page(request, "problem", {"says": says}, status=status)


def not_sent_from_here(request: HttpRequest, reason: str = "") -> HttpResponse:  # noqa: ARG001 - Django's signature
    """Django's CSRF_FAILURE_VIEW: the form is old, or was not ours."""
    says = _("This form is too old. Go back, load the page again, and send it once more.")
    return problem_page(request, HTTPStatus.FORBIDDEN, says)


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Django's handler400."""
    return _as_wanted(request, problem_pages.bad_request(request, exception))


def permission_denied(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Django's handler403."""
    return _as_wanted(request, problem_pages.permission_denied(request, exception))


def page_not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Django's handler404."""
    return _as_wanted(request, problem_pages.page_not_found(request, exception))


def server_error(request: HttpRequest) -> HttpResponse:
    """Django's handler500."""
    return _as_wanted(request, problem_pages.server_error(request))


def _as_wanted(request: HttpRequest, problem: HttpResponse) -> HttpResponse:
    """The problem document, or a page that says the same where a browser asks for one."""
    if "text/html" not in request.headers.get("Accept", "") or request.path.startswith("/api/"):
        return problem
    return problem_page(request, problem.status_code, json.loads(problem.content)["detail"])
