"""The auditor's file of one unit."""

from datetime import date

from django.http import FileResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema

from common.api.file_answers import named
from common.api.instants import read_day
from common.errors import FieldProblem, Unreadable
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.references import unit_in_path
from fleet.api.requests.roles import READERS_OF_FILES
from fleet.api.requests.views import ServiceView
from fleet.services.records.unit_file.make import UnitFileRequest, make_unit_file

DAYS = {"from": "First day, included, in the carrier's zone.", "to": "Last day, included, in the carrier's zone."}
ZIP = "application/zip"


class UnitFileView(ServiceView):
    """Everything that is kept of a unit, as a ZIP with one PDF for reading and hashes of all of it."""

    roles = {"get": READERS_OF_FILES}
    query_parameters = {"get": frozenset(DAYS)}

    @extend_schema(
        summary="The unit's file (49 CFR 396.3) for an auditor",
        parameters=[OpenApiParameter(name, OpenApiTypes.DATE, description=text) for name, text in DAYS.items()],
        responses={(200, ZIP): OpenApiTypes.BINARY},
    )
    def get(self, request: ServiceRequest, ref: str) -> FileResponse:
        """The file in your language; that it was asked for is noted in the unit's history."""
        since, until = (_day(request, name) for name in DAYS)
        if since is not None and until is not None and until < since:
            raise _refused("file_days_turned", "to")
        requested = UnitFileRequest(since, until, request.person.language)
        made = make_unit_file(unit_id=unit_in_path(ref).pk, requested=requested, actor=request.person, now=request.now)
        return named(FileResponse(made.content, content_type=ZIP), made.name)


def _day(request: ServiceRequest, name: str) -> date | None:
    given = request.query_params.get(name)
    if given is None:
        return None
    day = read_day(given)
    if day is None:
        raise _refused("not_a_day", name)
    return day


def _refused(code: str, parameter: str) -> Unreadable:
    return Unreadable("invalid_parameter", problems=[FieldProblem("", code, parameter=parameter)])
