"""Combinations over HTTP: which units run together, since when and until when."""

from datetime import datetime
from typing import Annotated, Any
from uuid import UUID

from django.db.models import Prefetch, Q, QuerySet
from pydantic import Field
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.bodies import Body
from common.api.filter_kinds import FlagFilter, OpenFilter, within
from common.api.filters import StrictFilterSet
from common.api.permissions import ANY_ROLE
from common.api.values import Instant
from common.api.views import takes
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.filters import UnitRefFilter
from fleet.api.requests.references import units_in_body
from fleet.api.requests.roles import COUPLERS
from fleet.api.requests.views import ListMixin, ReadMixin
from fleet.api.units.short import UnitRef, UnitShort
from fleet.models import Coupling, CouplingMember
from fleet.rules.units.combinations import MAX_TRAILERS
from fleet.selectors.units.combinations import coupling_state
from fleet.services.units.couplings import record_coupling, uncouple
from fleet.transitions import COUPLING


class CouplingBody(Body):
    """Which units run together, and since when."""

    units: Annotated[list[UnitRef], Field(min_length=2, max_length=1 + MAX_TRAILERS)]
    started_at: Instant


class EndedAtBody(Body):
    """When it ended."""

    ended_at: Instant


class CouplingAnswer(Answer):
    """A combination; `took_over` and `taken_over` say that a driver had units that were recorded elsewhere."""

    id: UUID
    units: list[UnitShort] = Field(description="The tractor first.")
    started_at: datetime
    ended_at: datetime | None
    took_over: bool
    taken_over: bool
    recorded_at: datetime
    allowed_actions: list[str]


class CouplingFilter(StrictFilterSet):
    """Combinations."""

    unit = UnitRefFilter("members__unit")
    open = OpenFilter(Q(ended_at__isnull=True))
    since, until = within("started_at")
    taken_over = FlagFilter()


class CouplingViewSet(ListMixin, ReadMixin):
    """Combinations, newest first."""

    roles = {"list": ANY_ROLE, "retrieve": ANY_ROLE, "create": COUPLERS, "uncouple": COUPLING.roles_for("uncouple")}
    filterset_class = CouplingFilter
    ordering = ("-started_at",)
    shows = CouplingAnswer
    unknown = "coupling_unknown"

    def get_queryset(self) -> QuerySet[Coupling]:
        members = CouplingMember.objects.select_related("unit").order_by("pk")
        return Coupling.objects.prefetch_related(Prefetch("members", members))

    def answer_of(self, row: Any) -> CouplingAnswer:
        units = sorted((member.unit for member in row.members.all()), key=lambda unit: (unit.kind, unit.number))
        actions = COUPLING.allowed_actions(coupling_state(row), self.caller_roles)
        return CouplingAnswer.of(row, units=units, allowed_actions=actions)

    @takes(CouplingBody)
    def create(self, request: ServiceRequest, body: CouplingBody) -> Response:
        """Couple units. A driver takes over what was recorded before; a desk is refused by it."""
        units = units_in_body(body.units, [f"/units/{index}" for index in range(len(body.units))])
        coupling = record_coupling(units=units, started_at=body.started_at, actor=request.person, now=request.now)
        return self.created(self.get_queryset().get(pk=coupling.pk), f"{request.path}/{coupling.pk}")

    @takes(EndedAtBody)
    def uncouple(self, request: ServiceRequest, body: EndedAtBody, key: UUID) -> Response:
        """End a combination."""
        uncouple(coupling_id=key, ended_at=body.ended_at, actor=request.person, now=request.now)
        return self.shown(self.get_queryset().get(pk=key))
