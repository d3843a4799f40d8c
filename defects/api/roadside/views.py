"""Officers' inspections: recorded by whoever gets the report first, answered by compliance."""

from typing import Any
from uuid import UUID

from django.db.models import QuerySet
from rest_framework.response import Response

from common.api.views import expected_version, takes
from defects.api.roadside.answers import RoadsideAnswer
from defects.api.roadside.bodies import AnswerBody, RoadsideBody
from defects.api.roadside.filters import RoadsideFilters
from defects.models import RoadsideInspection
from defects.selectors.roadside import roadside_inspection, roadside_rows
from defects.services.roadside.answer import answer_roadside_inspection
from defects.services.roadside.record import record_roadside_inspection
from defects.transitions import RECORD_ROADSIDE, ROADSIDE_INSPECTIONS
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.roles import READERS_OF_DEFECTS
from fleet.api.requests.views import ListMixin, ReadMixin


class RoadsideViewSet(ListMixin, ReadMixin):
    """Officers' inspections, newest first.

    Each with its violations, orders and answer.
    """

    roles = {
        "list": READERS_OF_DEFECTS,
        "retrieve": READERS_OF_DEFECTS,
        "create": RECORD_ROADSIDE,
        "answer": ROADSIDE_INSPECTIONS.roles_for("answer"),
    }
    if_match = frozenset({"answer"})
    filterset_class = RoadsideFilters
    ordering = ("-inspected_at",)
    shows = RoadsideAnswer
    tag = "roadside-inspections"

    def get_queryset(self) -> QuerySet[RoadsideInspection]:
        """Return all of them with what is shown of them."""
        return roadside_rows()

    def one(self, name: UUID) -> RoadsideInspection:
        """Return the inspection of a key."""
        return roadside_inspection(name)

    def answer_of(self, row: Any) -> RoadsideAnswer:
        """Return an inspection with what the caller may do with it now."""
        return RoadsideAnswer.for_roles(row, self.caller_roles)

    @takes(RoadsideBody)
    def create(self, request: ServiceRequest, body: RoadsideBody) -> Response:
        """Record an officer's report.

        The answer shows the orders and defects that follow from it.
        """
        inspection = record_roadside_inspection(report=body.report(), actor=request.person, now=request.now)
        return self.created(self.one(inspection.pk), f"{request.path}/{inspection.pk}")

    @takes(AnswerBody)
    def answer(self, request: ServiceRequest, body: AnswerBody, key: UUID) -> Response:
        """Certify to the officer's agency that every violation is corrected."""
        answer_roadside_inspection(
            inspection_id=key,
            version=expected_version(request),
            official_title=body.official_title,
            signing=body.signature.signing(request.person),
            actor=request.person,
            now=request.now,
        )
        return self.shown(self.one(key))
