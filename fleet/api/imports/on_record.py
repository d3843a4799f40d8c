"""What stands on record in the columns of a table that can be taken in, over HTTP: mend it and send it back."""

from collections.abc import Iterator
from datetime import date
from typing import ClassVar

from django.http import FileResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema

from common.api.file_answers import FileRenderer, spooled_answer
from common.snapshots import one_snapshot
from common.tables.reading import CSV
from common.tables.writing import csv_chunks
from fleet.api.imports.forms import forms
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.views import ServiceView
from fleet.enums import Role
from fleet.selectors.carrier.carrier import carriers_day
from fleet.selectors.records.exports.on_record import ON_RECORD
from fleet.services.imports.run import Table

UTF8_CSV = f"{CSV}; charset=utf-8"


def on_record(table: Table, today: date) -> Iterator[bytes]:
    """Yield the current records of a table that can be taken in, as CSV."""
    columns = [column.name for column in forms()[table].columns]
    with one_snapshot():
        yield from csv_chunks(columns, ON_RECORD[table.value](columns, today))


class OnRecordView(ServiceView):
    """What stands on record in the columns of a table that can be taken in: mend it and send it back."""

    table: ClassVar[Table]
    renderer_classes = (FileRenderer,)

    @extend_schema(responses={(200, CSV): OpenApiTypes.BINARY})
    def get(self, request: ServiceRequest) -> FileResponse:
        """Return the current records."""
        return spooled_answer(on_record(self.table, carriers_day(request.now)), f"{self.table}.csv", UTF8_CSV)


def on_record_view(table: Table, readers: frozenset[Role]) -> type[OnRecordView]:
    """Return the view of a table's current records."""
    name = f"{table.name.title().replace('_', '')}OnRecordView"
    return type(name, (OnRecordView,), {"table": table, "roles": {"get": readers}})
