"""Tables of records taken in over HTTP, and the templates to fill in for them."""

from collections.abc import Sequence
from typing import Any, ClassVar

from django.http import HttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema, extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from common.api.file_answers import FileRenderer, file_answer
from common.api.views import gives
from common.errors import FieldProblem, Unreadable
from common.tables.reading import CSV, XLSX
from fleet.api.imports.answers import ColumnAnswer, ImportAnswer
from fleet.api.imports.columns import TableForm
from fleet.api.imports.forms import forms
from fleet.api.imports.reading import TableParser, read_rows
from fleet.api.imports.templates import csv_template, xlsx_template
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.files import SENT
from fleet.api.requests.roles import ADMINISTRATOR, OFFICE, SHOP
from fleet.api.requests.views import ServiceView
from fleet.enums import ImportMode, Role
from fleet.selectors.carrier.carrier import carriers_day, carriers_zone
from fleet.services.imports.plan import ImportRow
from fleet.services.imports.run import Table, import_rows

MODE = OpenApiParameter(
    "mode",
    {"type": "string", "enum": [mode.value for mode in ImportMode], "default": ImportMode.DRY_RUN.value},
    OpenApiParameter.QUERY,
)


class ImportView(ServiceView):
    """What the views of the tables share; each names its table."""

    table: ClassVar[Table]
    parser_classes = (TableParser,)
    query_parameters = {"post": frozenset({"mode"})}
    rows: Sequence[ImportRow] = ()

    @property
    def form(self) -> TableForm:
        """Return the table's columns."""
        return forms()[self.table]

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        """Read the file before the transaction opens that keeps the answer: it takes seconds, and asks nothing."""
        super().initial(request, *args, **kwargs)
        if request.method == "POST" and isinstance(request, ServiceRequest):
            declared = (request.content_type or "").partition(";")[0].strip().lower()
            self.rows = read_rows(self.form, request.file, declared=declared, zone=carriers_zone())

    @extend_schema(responses=list[ColumnAnswer])
    def get(self, request: ServiceRequest) -> Response:
        """Return the columns of the table, in the reader's language."""
        return Response([ColumnAnswer.of_column(column) for column in self.form.columns])

    @extend_schema(parameters=[MODE], request=SENT)
    @gives(ImportAnswer)
    def post(self, request: ServiceRequest) -> Response:
        """Take the table in, sent as the file itself; without a mode nothing is written.

        A CSV or XLSX file, known by its bytes. A Content-Type that names one of them is compared with them.
        """
        report = import_rows(
            what=self.table,
            rows=self.rows,
            mode=_mode(request),
            actor=request.person,
            now=request.now,
            today=carriers_day(request.now),
        )
        return Response(ImportAnswer.of_report(report))


class UnitImportView(ImportView):
    """Units: known ones are changed, the others added."""

    table = Table.UNITS
    roles = {"get": OFFICE, "post": OFFICE}


class AxleImportView(ImportView):
    """Axles of units that are on record."""

    table = Table.AXLES
    roles = {"get": OFFICE, "post": OFFICE}


class DocumentImportView(ImportView):
    """Documents of units, people and the carrier: recorded, mended, or replaced by the next."""

    table = Table.DOCUMENTS
    roles = {"get": OFFICE, "post": OFFICE}


class PeopleImportView(ImportView):
    """People, without their passwords; their roles are a table of their own."""

    table = Table.PEOPLE
    roles = {"get": ADMINISTRATOR, "post": ADMINISTRATOR}


class ReadingImportView(ImportView):
    """Meter readings; one on record is never changed."""

    table = Table.METER_READINGS
    roles = {"get": OFFICE | {Role.FOREMAN}, "post": OFFICE | {Role.FOREMAN}}


class CoolingReadingImportView(ImportView):
    """Readings out of a cooling unit's recorder, in °F or °C; one on record is never changed."""

    table = Table.COOLING_READINGS
    roles = dict.fromkeys(("get", "post"), OFFICE | {Role.DISPATCH, Role.FOREMAN})


class RoleImportView(ImportView):
    """Roles: those that are held are left alone, and none is ended."""

    table = Table.ROLES
    roles = {"get": ADMINISTRATOR, "post": ADMINISTRATOR}


class MountingImportView(ImportView):
    """Cooling units on trailers; those that sit there are left alone."""

    table = Table.MOUNTINGS
    roles = {"get": SHOP, "post": SHOP}


class TemplateView(ServiceView):
    """A template to fill in: its header, one example, and in a workbook lists to choose from and a guide."""

    table: ClassVar[Table]
    media_type: ClassVar[str]
    renderer_classes = (FileRenderer,)

    def get(self, request: ServiceRequest) -> HttpResponse:
        """Return the template."""
        form = forms()[self.table]
        if self.media_type == CSV:
            return file_answer(csv_template(form), f"{form.table}.csv", f"{CSV}; charset=utf-8")
        return file_answer(xlsx_template(form), f"{form.table}.xlsx", XLSX)


def template_view(view: type[ImportView], media_type: str) -> type[TemplateView]:
    """Return the view of a table's template in one form, for whoever may take the table in."""
    name = f"{view.__name__.removesuffix('ImportView')}{'Csv' if media_type == CSV else 'Xlsx'}TemplateView"
    roles = {"get": view.roles["get"]}
    template = type(name, (TemplateView,), {"table": view.table, "media_type": media_type, "roles": roles})
    return extend_schema_view(get=extend_schema(responses={(200, media_type): OpenApiTypes.BINARY}))(template)


def _mode(request: ServiceRequest) -> ImportMode:
    given = request.query_params.get("mode", ImportMode.DRY_RUN.value)
    if given not in list(ImportMode):
        problem = FieldProblem("", "invalid_choice", {"allowed": [mode.value for mode in ImportMode]}, "mode")
        raise Unreadable("invalid_parameter", problems=[problem])
    return ImportMode(given)
