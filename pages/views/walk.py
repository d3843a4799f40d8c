"""The walk: the page that a phone draws by itself from the API's list, and what lets it do so without signal."""

from pathlib import Path

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.views.decorators.http import require_safe

from common.api.middleware import PAGE_POLICY
from common.api.plain_views import under_policy
from pages.session import Caller, signed_in

FILES = sorted(path.name for path in (Path(__file__).parents[1] / "static" / "pages").iterdir())
"""All that the pages load: what a phone keeps."""


@require_safe
@signed_in
def walk(caller: Caller) -> HttpResponse:
    """Answer with the page's frame; its modules read the list with the phone's token and keep it."""
    return caller.page("walk")


@require_safe
@under_policy(PAGE_POLICY)
def service_worker(request: HttpRequest) -> HttpResponse:
    """Answer with the script that keeps the walk's page on a phone, for all addresses of the pages."""
    plain = [f"{settings.STATIC_URL}pages/{name}" for name in FILES]  # by which modules import each other
    files = {"files": sorted({*plain, *(static(f"pages/{name}") for name in FILES)})}
    return render(request, "pages/service_worker.js", files, content_type="text/javascript; charset=utf-8")


@require_safe
def manifest(request: HttpRequest) -> HttpResponse:
    """Answer with what a phone needs to put the pages among its programs."""
    return render(request, "pages/manifest.webmanifest", content_type="application/manifest+json")
