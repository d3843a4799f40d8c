"""Limited moves over HTTP: one trip of a unit found unsafe on the highway (396.7(b))."""

from datetime import datetime
from decimal import Decimal
from http import HTTPStatus
from typing import Annotated, Any
from uuid import UUID

from pydantic import Field
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.bodies import Body
from common.api.values import DecimalText, Flag, Instant, Text, Uuid, Word
from common.api.views import takes
from defects.api.moves.filters import LimitedMoveFilters
from defects.enums import MoveState
from defects.selectors.moves import limited_move_rows, move_state
from defects.services.moves import LimitedMoveRequest, allow_limited_move, end_limited_move
from defects.transitions import ALLOW_LIMITED_MOVE, LIMITED_MOVES
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.references import person_in_body, unit_in_body
from fleet.api.requests.roles import READERS_OF_DEFECTS
from fleet.api.requests.views import ListMixin
from fleet.api.units.short import UnitRef, UnitShort

Place = Annotated[str, Text(200)]
Long = Annotated[str, Text(2000, multiline=True)]
LongOrNone = Annotated[str, Text(2000, multiline=True, may_be_blank=True)]


class LimitedMoveBody(Body):
    """What 396.7(b) asks for before a unit found unsafe on the highway may go on to the nearest safe repair place."""

    unit: UnitRef
    found_on_highway: Flag
    found_at_place: Place
    to_place: Place
    distance_mi: Annotated[Decimal, DecimalText(6, 1)]
    why_nearest: Long
    why_less_hazardous: Long
    driver: Uuid
    driver_consented_at: Instant
    ends_at: Instant
    conditions: LongOrNone = ""


class EndBody(Body):
    """When the move was over, and what there is to say about it."""

    ended_at: Instant
    note: LongOrNone = ""


class LimitedMoveAnswer(Answer):
    """A limited move."""

    id: UUID
    unit: UnitShort
    state: Annotated[str, Word(MoveState)]
    found_at_place: str
    to_place: str
    distance_mi: Decimal
    why_nearest: str
    why_less_hazardous: str
    driver: PersonShort
    driver_consented_at: datetime
    conditions: str
    approved_by: PersonShort
    approved_at: datetime
    from_mi: Decimal | None = Field(description="the odometer's true total where the unit was found, where it was read")
    ends_at: datetime
    ended_at: datetime | None
    end_note: str
    allowed_actions: list[str]


class LimitedMoveViewSet(ListMixin):
    """Limited moves, newest first."""

    roles = {"list": READERS_OF_DEFECTS, "create": ALLOW_LIMITED_MOVE, "end": LIMITED_MOVES.roles_for("end")}
    filterset_class = LimitedMoveFilters
    ordering = ("-approved_at",)
    shows = LimitedMoveAnswer
    tag = "limited-moves"
    queryset = limited_move_rows()

    def answer_of(self, row: Any) -> LimitedMoveAnswer:
        state = move_state(row)
        actions = LIMITED_MOVES.allowed_actions(state, self.caller_roles)
        return LimitedMoveAnswer.of(row, state=state, allowed_actions=actions)

    @takes(LimitedMoveBody)
    def create(self, request: ServiceRequest, body: LimitedMoveBody) -> Response:
        """Allow one trip to the nearest safe repair place.

        Never under an officer's order, never without the driver's consent.
        """
        unit = unit_in_body(body.unit, "/unit")
        driver = person_in_body(body.driver, "/driver")
        requested = LimitedMoveRequest(
            found_on_highway=body.found_on_highway,
            found_at_place=body.found_at_place,
            to_place=body.to_place,
            distance_mi=body.distance_mi,
            why_nearest=body.why_nearest,
            why_less_hazardous=body.why_less_hazardous,
            driver=driver,
            driver_consented_at=body.driver_consented_at,
            ends_at=body.ends_at,
            conditions=body.conditions,
        )
        move = allow_limited_move(unit_id=unit.pk, requested=requested, actor=request.person, now=request.now)
        return self.shown(self.get_queryset().get(pk=move.pk), HTTPStatus.CREATED)

    @takes(EndBody)
    def end(self, request: ServiceRequest, body: EndBody, key: UUID) -> Response:
        """End a limited move, as its driver or as a foreman."""
        move = end_limited_move(
            move_id=key, ended_at=body.ended_at, note=body.note, actor=request.person, now=request.now
        )
        return self.shown(self.get_queryset().get(pk=move.pk))
