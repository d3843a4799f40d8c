"""Yard moves over HTTP: a barred unit moved on private ground to the bay."""

from datetime import datetime
from http import HTTPStatus
from typing import Annotated, Any
from uuid import UUID

from rest_framework.response import Response

from common.api.answers import Answer
from common.api.bodies import Body
from common.api.values import Instant, Text
from common.api.views import takes
from common.errors import Invalid
from defects.api.moves.filters import YardMoveFilters
from defects.selectors.moves import yard_move_rows
from defects.services.moves import record_yard_move
from defects.transitions import MOVE_IN_YARD
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.references import site_in_body, unit_in_body
from fleet.api.requests.roles import READERS_OF_DEFECTS
from fleet.api.requests.views import ListMixin
from fleet.api.units.short import UnitRef, UnitShort

Place = Annotated[str, Text(120)]


class YardMoveBody(Body):
    """A move on private ground to the bay."""

    unit: UnitRef
    site: Annotated[str, Text(24)]
    from_place: Place
    to_place: Place
    reason: Annotated[str, Text(1000, multiline=True)]
    moved_at: Instant


class YardMoveAnswer(Answer):
    """A recorded yard move."""

    id: UUID
    unit: UnitShort
    site: str
    from_place: str
    to_place: str
    reason: str
    person: PersonShort
    moved_at: datetime
    recorded_at: datetime


class YardMoveViewSet(ListMixin):
    """Yard moves, newest first."""

    roles = {"list": READERS_OF_DEFECTS, "create": MOVE_IN_YARD}
    filterset_class = YardMoveFilters
    ordering = ("-moved_at",)
    shows = YardMoveAnswer
    queryset = yard_move_rows()

    def answer_of(self, row: Any) -> YardMoveAnswer:
        return YardMoveAnswer.of(row, site=row.site.code)

    @takes(YardMoveBody)
    def create(self, request: ServiceRequest, body: YardMoveBody) -> Response:
        """Record a move on private ground to the bay; it lifts nothing, and an officer's order forbids it."""
        site = site_in_body(body.site, "/site")
        if site is None:
            raise Invalid("site_unknown", pointer="/site")
        move = record_yard_move(
            unit_id=unit_in_body(body.unit, "/unit").pk,
            site=site,
            from_place=body.from_place,
            to_place=body.to_place,
            reason=body.reason,
            moved_at=body.moved_at,
            actor=request.person,
            now=request.now,
        )
        return self.shown(self.get_queryset().get(pk=move.pk), HTTPStatus.CREATED)
