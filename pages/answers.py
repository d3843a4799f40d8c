"""A page as it is answered: rendered from its template, and kept by no device."""

from collections.abc import Mapping
from http import HTTPStatus
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from common.api.storing import NEVER


class Page(HttpResponse):
    """An answer that stands as it is, whatever its status: no problem document takes its place."""

    is_page = True


def page(
    request: HttpRequest, template: str, context: Mapping[str, Any] | None = None, *, status: int = HTTPStatus.OK
) -> Page:
    """Answer with a template of `pages/`, which tells of people."""
    rendered = render(request, f"pages/{template}.html", context)
    return Page(rendered.content, status=status, headers={"Cache-Control": NEVER})
