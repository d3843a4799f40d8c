"""The expiry list: a page of it as JSON, or all of it as a table, a sheet or a calendar."""

from typing import Any

from django.db.models import QuerySet
from django.http import Http404, HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.renderers import BaseRenderer, JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from common.api.filters import PAGING
from common.api.language import current_language
from common.api.permissions import ANY_ROLE
from common.api.row_pages import RowPagination
from common.errors import FieldProblem, Unreadable
from common.tables.writing import csv_chunks
from fleet.api.base import ServiceViewSet
from fleet.api.expiry_filter import ExpiryFilter, question_of
from fleet.api.expiry_forms.calendar import expiry_calendar
from fleet.api.expiry_forms.columns import COLUMNS, table
from fleet.api.expiry_forms.sheet import expiry_sheet
from fleet.api.requests import ServiceRequest
from fleet.api.serializers.expiries import ExpiryOut
from fleet.models import Document
from fleet.selectors.documents.expiries.listing import Expiries, expiries_for, whole_list
from fleet.selectors.documents.expiries.request import Slice
from fleet.selectors.people.visible import documents_visible_to


class CsvForm(BaseRenderer):
    """Comma-separated text."""

    media_type = "text/csv"
    format = "csv"


class SheetForm(BaseRenderer):
    """A spreadsheet."""

    media_type = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
    format = "xlsx"


class CalendarForm(BaseRenderer):
    """A calendar."""

    media_type = "text/calendar"
    format = "ics"


class ExpiryViewSet(ServiceViewSet):
    """Papers that end and papers that are missing."""

    roles = {"list": ANY_ROLE}
    filterset_class = ExpiryFilter
    pagination_class = RowPagination
    renderer_classes = (JSONRenderer, CsvForm, SheetForm, CalendarForm)
    output = ExpiryOut

    def get_queryset(self) -> QuerySet[Document]:
        """Return the papers that the caller may see; the list itself is read by a statement of its own."""
        return self.visible(documents_visible_to, Document)

    def perform_content_negotiation(self, request: Request, force: bool = False) -> Any:
        """Return the form of the answer; Unreadable `invalid_parameter` for a `format` that there is not."""
        try:
            return super().perform_content_negotiation(request, force)
        except Http404 as error:
            allowed = [str(form.format) for form in self.renderer_classes]
            problem = FieldProblem("", "invalid_choice", {"allowed": allowed}, "format")
            raise Unreadable("invalid_parameter", problems=[problem]) from error

    @extend_schema(
        responses={
            (200, "application/json"): ExpiryOut(many=True),
            (200, CsvForm.media_type): OpenApiTypes.STR,
            (200, SheetForm.media_type): OpenApiTypes.BINARY,
            (200, CalendarForm.media_type): OpenApiTypes.STR,
        }
    )
    def list(self, request: ServiceRequest) -> Response | HttpResponse:
        """What has expired, then what is missing, then what ends, by day. Pages as JSON, else the whole list."""
        expiries = expiries_for(request.person, question_of(request.query_params), now=request.now)
        chosen = getattr(request.accepted_renderer, "format", "json")
        if chosen == JSONRenderer.format:
            return self._page(request, expiries)
        refused = sorted(set(PAGING) & set(request.query_params))
        if refused:
            raise Unreadable("unknown_parameter", unknown=refused, known=sorted(ExpiryFilter.base_filters))
        return _whole(request, expiries, chosen)

    def _page(self, request: ServiceRequest, expiries: Expiries) -> Response:
        pages = self.paginator
        if not isinstance(pages, RowPagination):
            msg = "this list is cut into pages by RowPagination"
            raise TypeError(msg)
        rows = pages.cut_rows(
            lambda limit, beyond, backwards: expiries.rows(Slice(limit, beyond, backwards)),
            request,
            "expiries",
        )
        return pages.get_paginated_response(ExpiryOut(rows, many=True).data)


def _whole(request: ServiceRequest, expiries: Expiries, chosen: str) -> HttpResponse:
    rows, language = whole_list(expiries), current_language()
    if chosen == CalendarForm.format:
        return calendar_answer(
            expiry_calendar(
                rows, language=language, today=expiries.day.today, address=request.build_absolute_uri("/")[:-1]
            )
        )
    if chosen == SheetForm.format:
        content, media_type = expiry_sheet(rows, language), SheetForm.media_type
    else:
        content = b"".join(csv_chunks([column.name for column in COLUMNS], table(rows, language)))
        media_type = "text/csv; charset=utf-8; header=present"
    return _attached(content, media_type, chosen)


def calendar_answer(content: bytes) -> HttpResponse:
    """Return a calendar under a name of its own."""
    return _attached(content, "text/calendar; charset=utf-8", CalendarForm.format)


def _attached(content: bytes, media_type: str, ending: str) -> HttpResponse:
    response = HttpResponse(content, content_type=media_type)
    response.headers["Content-Disposition"] = f'attachment; filename="expiries.{ending}"'
    return response
