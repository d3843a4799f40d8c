"""What freezes a unit's file, over HTTP. It bars no unit from rolling; a hold does that."""

from datetime import datetime
from typing import Annotated, Any
from uuid import UUID

from django.db.models import Q
from django_filters import rest_framework as filters
from pydantic import Field
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.bodies import Body
from common.api.filter_kinds import OpenFilter, within
from common.api.filters import StrictFilterSet
from common.api.values import Text, Word
from common.api.views import takes
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.filters import UnitRefFilter
from fleet.api.requests.references import unit_in_body
from fleet.api.requests.roles import OFFICE, READERS_OF_RETENTION
from fleet.api.requests.views import ListMixin, ReadMixin
from fleet.api.units.short import UnitRef, UnitShort
from fleet.enums import HoldCause
from fleet.models import LegalHold
from fleet.models.base import choices
from fleet.services.records.legal_holds import legal_hold_state, lift_legal_hold, place_legal_hold
from fleet.transitions import LEGAL_HOLD

LONGEST_REASON = 2_000


class LegalHoldBody(Body):
    """Which unit's file is frozen, and why."""

    unit: UnitRef
    cause: HoldCause
    reason: Annotated[str, Text(LONGEST_REASON)]


class LegalHoldLiftBody(Body):
    """Why the file may go its way again."""

    reason: Annotated[str, Text(LONGEST_REASON)]


class LegalHoldAnswer(Answer):
    """While one stands, nothing of the unit's file is deleted. It bars no unit from rolling; a hold does that."""

    id: UUID
    unit: UnitShort
    cause: Annotated[str, Word(HoldCause)]
    reason: str
    placed_at: datetime
    placed_by: PersonShort
    lifted_at: datetime | None
    lifted_by: PersonShort | None
    lift_reason: str = Field(description="Empty while it stands.")
    allowed_actions: list[str]


class LegalHoldFilter(StrictFilterSet):
    unit = UnitRefFilter("unit")
    cause = filters.ChoiceFilter(choices=choices(HoldCause))
    open = OpenFilter(Q(lifted_at__isnull=True))
    since, until = within("placed_at")


class LegalHoldViewSet(ListMixin, ReadMixin):
    """Whose file is frozen or was, newest first."""

    roles = {
        "list": READERS_OF_RETENTION,
        "retrieve": READERS_OF_RETENTION,
        "create": OFFICE,
        "lift": LEGAL_HOLD.roles_for("lift"),
    }
    filterset_class = LegalHoldFilter
    ordering = ("-placed_at",)
    shows = LegalHoldAnswer
    unknown = "legal_hold_unknown"
    queryset = LegalHold.objects.select_related("unit", "placed_by", "lifted_by")

    def answer_of(self, row: Any) -> LegalHoldAnswer:
        actions = LEGAL_HOLD.allowed_actions(legal_hold_state(row), self.caller_roles)
        return LegalHoldAnswer.of(row, allowed_actions=actions)

    @takes(LegalHoldBody)
    def create(self, request: ServiceRequest, body: LegalHoldBody) -> Response:
        """Freeze a unit's file for a crash, a claim or a complaint: nothing of it is deleted until it is lifted."""
        unit = unit_in_body(body.unit, "/unit")
        hold = place_legal_hold(
            unit_id=unit.pk, cause=body.cause, reason=body.reason, actor=request.person, now=request.now
        )
        return self.created(self.get_queryset().get(pk=hold.pk), f"{request.path}/{hold.pk}")

    @takes(LegalHoldLiftBody)
    def lift(self, request: ServiceRequest, body: LegalHoldLiftBody, key: UUID) -> Response:
        """Let the file go its way again, with the reason."""
        lift_legal_hold(hold_id=key, reason=body.reason, actor=request.person, now=request.now)
        return self.shown(self.get_queryset().get(pk=key))
