"""The expiry list over HTTP: a page of it as JSON, or all of it as a table, a sheet or a calendar."""

from collections.abc import Sequence
from datetime import UTC, date, datetime
from io import BytesIO
from typing import Annotated, Any, Self
from uuid import UUID

from django.db.models import QuerySet
from django.http import Http404, HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from pydantic import Field
from rest_framework.renderers import BaseRenderer
from rest_framework.request import Request
from rest_framework.response import Response
from xlsxwriter import Workbook

from common.api.answers import Answer, AnswerRenderer
from common.api.filters import PAGING
from common.api.permissions import ANY_ROLE
from common.api.row_pages import RowPagination
from common.api.values import Word
from common.errors import FieldProblem, Unreadable, unknown_parameters
from common.messages import Message, current_language, render
from common.tables.writing import csv_chunks
from fleet.api.documents.expiry_calendar import expiry_calendar
from fleet.api.documents.expiry_columns import COLUMNS, table
from fleet.api.documents.expiry_filter import ExpiryFilter, question_of
from fleet.api.documents.expiry_sentences import kind_in_words, sentence
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.views import ServiceViewSet
from fleet.api.units.short import UnitShort
from fleet.models import Document
from fleet.rules.documents.kinds import SUBJECTS
from fleet.rules.documents.states import DocumentState
from fleet.selectors.documents.expiries.expiry import Expiry
from fleet.selectors.documents.expiries.listing import Expiries, expiries_for, whole_list
from fleet.selectors.documents.expiries.request import Slice
from fleet.selectors.documents.status import file_by
from fleet.selectors.people.visible import documents_visible_to

_FOREVER = datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)
"""Said as the day of making, so that the same list is the same file."""


def expiry_sheet(rows: Sequence[Expiry], language: str) -> bytes:
    """Return a workbook of one sheet: a header that stays and filters, real dates, landscape and one page wide.

    Texts are written as texts, whatever they begin with: no cell holds a formula.
    """
    content = BytesIO()
    shown = [place for place, column in enumerate(COLUMNS) if column.width]
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    with Workbook(content, options) as book:
        book.set_properties({"title": render(Message("expiry_list"), language), "created": _FOREVER})
        sheet = book.add_worksheet(render(Message("expiry_list"), language)[:31])
        head = book.add_format({"bold": True, "text_wrap": True, "bottom": 1})
        day, text = book.add_format({"num_format": "yyyy-mm-dd"}), book.add_format({"text_wrap": True, "valign": "top"})
        for at, place in enumerate(shown):
            sheet.set_column(at, at, COLUMNS[place].width)
            sheet.write_string(0, at, str(COLUMNS[place].title), head)
        for line, cells in enumerate(table(rows, language), start=1):
            for at, place in enumerate(shown):
                value = cells[place]
                if isinstance(value, date):
                    sheet.write_datetime(line, at, value, day)
                elif isinstance(value, int):
                    sheet.write_number(line, at, value)
                elif value:
                    sheet.write_string(line, at, value, text)
        sheet.autofilter(0, 0, len(rows), len(shown) - 1)
        sheet.freeze_panes(1, 0)
        sheet.repeat_rows(0)
        sheet.set_landscape()
        sheet.set_paper(1)
        sheet.fit_to_pages(1, 0)
        sheet.set_footer("&L&D&R&P / &N")
    return content.getvalue()


class ExpiryAnswer(Answer):
    """One document or qualification that ends, or a missing document, as it stands on the carrier's present day.

    Until the carrier has said which conditional documents apply, each kind of them is listed with the status
    `not_known`.

    `ends_on` and `ends_on_month` are both readings of an end; `last_day` is the one that counts under the carrier's
    reading, a grace included. `days_left` counts to the day to act by, in a grace to its last day, and is negative once
    `last_day` is over. What is missing has no days, no document and no link. `responsible` holds the compliance role
    at the home site, or everywhere.
    """

    id: UUID = Field(description="The document's or qualification's, or a stable key of what is missing.")
    document: UUID | None
    qualification: UUID | None
    link: str | None
    subject: Annotated[str, Word(sorted(SUBJECTS))]
    unit: UnitShort | None
    person: PersonShort | None
    site: str | None = Field(description="Code of the home site.")
    kind: str
    kind_text: str = Field(description="The kind in words of the reader.")
    number: str
    us_state: str
    starts_on: date | None
    ends_on: date | None
    ends_on_month: date | None
    last_day: date | None
    grace_until: date | None
    file_by: date | None = Field(description="Use tax: last day to file, by the month of first use.")
    status: Annotated[str, Word(sorted(DocumentState))]
    days_left: int | None
    in_grace: bool
    says: str = Field(description="What the document is today.")
    bars_clearance: bool
    source: str = Field(description="Where the rule is written.")
    responsible: list[PersonShort]

    @classmethod
    def for_reader(cls, row: Expiry, language: str) -> Self:
        return cls.of(
            row,
            kind=row.kind.name,
            kind_text=kind_in_words(row, language),
            says=sentence(row, language),
            bars_clearance=row.bars,
            file_by=file_by(row.kind, row.starts_on),
            source=row.kind.source.text,
        )


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
    """What has expired, then what is missing, then what ends, by day."""

    roles = {"list": ANY_ROLE}
    filterset_class = ExpiryFilter
    pagination_class = RowPagination
    renderer_classes = (AnswerRenderer, CsvForm, SheetForm, CalendarForm)
    shows = ExpiryAnswer

    def get_queryset(self) -> QuerySet[Document]:
        """Return the documents that the caller may see; the list itself is read by a statement of its own."""
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
            (200, "application/json"): ExpiryAnswer,
            (200, CsvForm.media_type): OpenApiTypes.STR,
            (200, SheetForm.media_type): OpenApiTypes.BINARY,
            (200, CalendarForm.media_type): OpenApiTypes.STR,
        }
    )
    def list(self, request: ServiceRequest) -> Response | HttpResponse:
        """What has expired, then what is missing, then what ends, by day. Pages as JSON, else the whole list."""
        expiries = expiries_for(request.person, question_of(request.query_params), now=request.now)
        chosen = getattr(request.accepted_renderer, "format", "json")
        if chosen == AnswerRenderer.format:
            return self._page(request, expiries)
        refused = set(PAGING) & set(request.query_params)
        if refused:
            raise unknown_parameters(refused, ExpiryFilter.base_filters)
        return _whole(request, expiries, chosen)

    def _page(self, request: ServiceRequest, expiries: Expiries) -> Response:
        pages = self.paginator
        if not isinstance(pages, RowPagination):
            msg = "this list is cut into pages by RowPagination"
            raise TypeError(msg)
        rows = pages.cut_rows(
            lambda limit, beyond, backwards: expiries.rows(Slice(limit, beyond, backwards)), request, "expiries"
        )
        return pages.get_paginated_response([ExpiryAnswer.for_reader(row, current_language()) for row in rows])


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
