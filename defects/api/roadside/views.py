"""Officers' inspections: recorded by whoever gets the report first, answered by compliance."""

from uuid import UUID

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework.response import Response

from common.api.etags import expected_version
from defects.api.readers import READERS
from defects.api.roadside.filters import RoadsideFilters
from defects.api.roadside.serializers import AnswerBody, RoadsideBody, RoadsideOut
from defects.api.signatures import own_signing
from defects.models import RoadsideInspection
from defects.selectors.roadside import roadside_inspection, roadside_rows
from defects.services.roadside import OfficersReport, Violation, answer_roadside_inspection, record_roadside_inspection
from defects.transitions import RECORD_ROADSIDE, ROADSIDE_INSPECTIONS
from fleet.api.base import ServiceViewSet
from fleet.api.names import units_in_body
from fleet.api.parsed import parsed
from fleet.api.requests import ServiceRequest


class RoadsideViewSet(ServiceViewSet):
    """Officers' inspections, newest first."""

    roles = {
        "list": READERS,
        "retrieve": READERS,
        "create": RECORD_ROADSIDE,
        "answer": ROADSIDE_INSPECTIONS.roles_for("answer"),
    }
    if_match = frozenset({"answer"})
    filterset_class = RoadsideFilters
    ordering = ("-inspected_at",)
    output = RoadsideOut
    tag = "roadside-inspections"

    def get_queryset(self) -> QuerySet[RoadsideInspection]:
        """Return all of them with what is shown of them."""
        return roadside_rows()

    @extend_schema(
        operation_id="roadside_inspections_list",
        responses=RoadsideOut(many=True),
        summary="Officers' inspections, newest first",
    )
    def list(self, request: ServiceRequest) -> Response:
        """One page of those asked for."""
        return self.listed()

    @extend_schema(operation_id="roadside_inspections_read", responses=RoadsideOut, summary="One inspection")
    def retrieve(self, request: ServiceRequest, key: UUID) -> Response:
        """The inspection with its violations, orders and answer."""
        return self.shown(roadside_inspection(key))

    @extend_schema(
        operation_id="roadside_inspections_record",
        request=RoadsideBody,
        responses={201: RoadsideOut},
        summary="Record an officer's report",
    )
    def create(self, request: ServiceRequest) -> Response:
        """The inspection with the orders and defects that follow from it."""
        given = parsed(RoadsideBody, request).validated_data
        lines = given.pop("violations", [])
        refs = [*given["units"], *(line["unit"] for line in lines)]
        places = [f"/units/{index}" for index in range(len(given["units"]))]
        units = units_in_body(refs, [*places, *(f"/violations/{index}/unit" for index in range(len(lines)))])
        named, of_lines = units[: len(places)], units[len(places) :]
        violations = [Violation(**{**line, "unit": unit}) for line, unit in zip(lines, of_lines, strict=True)]
        report = OfficersReport(**{**given, "units": list(dict.fromkeys(named)), "violations": violations})
        inspection = record_roadside_inspection(report=report, actor=request.person, now=request.now)
        return self.created(roadside_inspection(inspection.pk), f"{request.path}/{inspection.pk}")

    @extend_schema(
        operation_id="roadside_inspections_answer",
        request=AnswerBody,
        responses=RoadsideOut,
        summary="Certify to the officer's agency that every violation is corrected",
    )
    def answer(self, request: ServiceRequest, key: UUID) -> Response:
        """The inspection, answered."""
        body = parsed(AnswerBody, request).validated_data
        answer_roadside_inspection(
            inspection_id=key,
            version=expected_version(request),
            official_title=body["official_title"],
            signing=own_signing(body["signature"], request.person),
            actor=request.person,
            now=request.now,
        )
        return self.shown(roadside_inspection(key))
