"""Labor over HTTP: whose time runs on which task, its breaks and its end."""

from datetime import datetime
from decimal import Decimal
from typing import Annotated, Any
from uuid import UUID

from django.db.models import Q, QuerySet
from pydantic import Field
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.bodies import ABSENT, Body
from common.api.filter_kinds import OpenFilter, ReadFilter, within
from common.api.filters import StrictFilterSet
from common.api.values import Text, Uuid, UuidValue, Word
from common.api.views import takes, takes_nothing
from common.errors import Invalid, NotFound
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.filters import PersonRefFilter, UnitRefFilter
from fleet.api.units.short import UnitShort
from fleet.enums import Role
from workorders.api.requests import ShopViewSet
from workorders.enums import LaborRole
from workorders.models import LaborEntry, RepairTask
from workorders.selectors.orders.listing import with_labor_parts
from workorders.selectors.orders.visible import labor_visible_to, tasks_in_hands_of
from workorders.services.labor import start_labor, stop_labor
from workorders.transitions import SHOP

READERS = SHOP | {Role.AUDITOR, Role.COMPLIANCE}


class LaborBody(Body):
    """Whose time begins to run on a task; one's own when nobody is named."""

    task: Uuid
    role: LaborRole
    person: Uuid = ABSENT


class PauseBody(Body):
    """Why the work is broken off."""

    cause: Annotated[str, Text(60)]


class LaborAnswer(Answer):
    """Time of one person on one task; still running while it has no end."""

    id: UUID
    task: UUID
    order: int
    unit: UnitShort
    person: PersonShort
    role: Annotated[str, Word(LaborRole)]
    started_at: datetime
    ended_at: datetime | None
    pause_cause: str
    rate: Decimal | None = Field(description="for an hour, as it was then")
    currency: str = Field(description="three letters; empty without a rate")


def task_key(given: str) -> UUID:
    """The key of a task on record; NotFound `task_unknown`, and as `Uuid` refuses."""
    key = UuidValue().read(given)
    if not RepairTask.objects.filter(pk=key).exists():
        raise NotFound("task_unknown")
    return key


class LaborFilter(StrictFilterSet):
    """Labor entries."""

    task = ReadFilter(read=task_key, described=UuidValue.said)
    person = PersonRefFilter()
    unit = UnitRefFilter("task__order__unit")
    open = OpenFilter(Q(ended_at__isnull=True))
    since, until = within("started_at")


class LaborViewSet(ShopViewSet):
    """Labor, newest first. Facts about work done, so no version is asked to end one."""

    roles = {"list": READERS, "retrieve": READERS, "create": SHOP, "stop": SHOP, "pause": SHOP}
    drivers_name_a_unit = False
    filterset_class = LaborFilter
    ordering = ("-started_at",)
    shows = LaborAnswer
    unknown = "labor_unknown"
    tag = "labor-entries"

    def get_queryset(self) -> QuerySet[LaborEntry]:
        return with_labor_parts(self.visible(lambda person: labor_visible_to(person, now=self.instant), LaborEntry))

    def answer_of(self, row: Any) -> LaborAnswer:
        return LaborAnswer.of(row, task=row.task_id, order=row.task.order.number, unit=row.task.order.unit)

    @takes(LaborBody)
    def create(self, request: ServiceRequest, body: LaborBody) -> Response:
        """Let time run on a started task, as its lead or as a helper under the lead."""
        if not tasks_in_hands_of(request.person, now=request.now).filter(pk=body.task).exists():
            raise Invalid("task_unknown", pointer="/task")
        entry = start_labor(task=body.task, role=body.role, person=body.person, actor=request.person, now=request.now)
        return self.created(entry, f"{request.path}/{entry.pk}")

    @takes_nothing
    def stop(self, request: ServiceRequest, key: UUID) -> Response:
        """End an entry."""
        return self._ended(request, key, "")

    @takes(PauseBody)
    def pause(self, request: ServiceRequest, body: PauseBody, key: UUID) -> Response:
        """Break off, with the cause; going on is another entry."""
        return self._ended(request, key, body.cause)

    def _ended(self, request: ServiceRequest, key: UUID, cause: str) -> Response:
        self.one(key)
        stop_labor(entry=key, cause=cause, actor=request.person, now=request.now)
        return self.shown(self.one(key))
