"""The addresses of tables that are taken in and given out, below the version's prefix."""

from django.urls import path
from django.urls.resolvers import URLPattern

from common.tables.reading import CSV, XLSX
from fleet.api.imports.forms import forms
from fleet.api.imports.imports import (
    AxleImportView,
    CoolingReadingImportView,
    DocumentImportView,
    ImportView,
    MountingImportView,
    PeopleImportView,
    ReadingImportView,
    RoleImportView,
    UnitImportView,
    template_view,
)
from fleet.api.imports.on_record import on_record_view
from fleet.api.records.exports import ExportArchiveView, ExportListView, ExportTableView


def _table(view: type[ImportView]) -> list[URLPattern]:
    name = view.table.value
    return [
        path(f"imports/{name}", view.as_view(), name=f"imports-{name}"),
        path(f"imports/{name}/on-record.csv", on_record_view(view.table, forms()[view.table].roles).as_view()),
        path(f"imports/{name}/template.csv", template_view(view, CSV).as_view(), name=f"imports-{name}-csv"),
        path(f"imports/{name}/template.xlsx", template_view(view, XLSX).as_view(), name=f"imports-{name}-xlsx"),
    ]


table_urlpatterns: list[URLPattern] = [
    *_table(UnitImportView),
    *_table(AxleImportView),
    *_table(DocumentImportView),
    *_table(PeopleImportView),
    *_table(ReadingImportView),
    *_table(CoolingReadingImportView),
    *_table(RoleImportView),
    *_table(MountingImportView),
    path("exports", ExportListView.as_view(), name="exports"),
    path("exports/everything.zip", ExportArchiveView.as_view(), name="exports-everything"),
    path("exports/<str:name>.csv", ExportTableView.as_view(), name="exports-one"),
]
