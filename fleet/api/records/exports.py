"""Everything on record as CSV: one table, or all that the caller may see in one ZIP."""

from django.http import FileResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.file_answers import FileRenderer, spooled_answer
from common.errors import NotFound
from common.tables.archive import zip_chunks
from common.tables.reading import CSV
from fleet.api.records.tables import everything, note, one_table
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.views import ServiceView
from fleet.selectors.records.exports.tables import OFFICE, tables_for

ZIP = "application/zip"
UTF8_CSV = f"{CSV}; charset=utf-8"


class ExportTableAnswer(Answer):
    """A table that the caller may have."""

    name: str
    columns: list[str]


class ExportListView(ServiceView):
    """Which tables there are."""

    roles = {"get": OFFICE}

    @extend_schema(responses=list[ExportTableAnswer])
    def get(self, request: ServiceRequest) -> Response:
        """Return the tables that the caller may have."""
        return Response([ExportTableAnswer.of(table) for table in tables_for(request.person.current_roles)])


class ExportTableView(ServiceView):
    """One table."""

    roles = {"get": OFFICE}
    renderer_classes = (FileRenderer,)

    @extend_schema(responses={(200, CSV): OpenApiTypes.BINARY})
    def get(self, request: ServiceRequest, name: str) -> FileResponse:
        """Return every row of a table."""
        table = next((each for each in tables_for(request.person.current_roles) if each.name == name), None)
        if table is None:
            raise NotFound("export_unknown")
        return spooled_answer(one_table(table), f"{name}.csv", UTF8_CSV)


class ExportArchiveView(ServiceView):
    """All tables."""

    roles = {"get": OFFICE}
    renderer_classes = (FileRenderer,)

    @extend_schema(responses={(200, ZIP): OpenApiTypes.BINARY})
    def get(self, request: ServiceRequest) -> FileResponse:
        """Return every table that the caller may see, of one instant, with a note on how to read them."""
        files = everything(tables_for(request.person.current_roles), note())
        return spooled_answer(zip_chunks(files, request.now), "everything.zip", ZIP)
