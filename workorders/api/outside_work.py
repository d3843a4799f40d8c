"""Repairs by outside firms over HTTP: told from the road, read by the shop."""

from datetime import datetime
from decimal import Decimal
from typing import Annotated, Any
from uuid import UUID

from django.db.models import QuerySet
from pydantic import Field
from rest_framework.response import Response

from common.api.answers import Answer
from common.api.bodies import ABSENT, Body
from common.api.filter_kinds import KnownFilter, within
from common.api.filters import StrictFilterSet
from common.api.values import DecimalText, Instant, Numbered, Pattern, Sha256, Text, Uuid
from common.api.views import takes
from common.errors import Invalid
from fleet.api.people.short import PersonShort
from fleet.api.requests.authentication import ServiceRequest
from fleet.api.requests.filters import UnitRefFilter
from fleet.api.requests.references import in_body
from fleet.api.units.short import UnitShort
from fleet.enums import Role
from workorders.api.requests import READERS, OrderRefFilter, ShopViewSet
from workorders.api.tasks.bodies import MeasuredBody
from workorders.models import OutsideRepair
from workorders.selectors.orders.listing import order_key, with_outside_parts
from workorders.selectors.orders.visible import orders_visible_to, outside_repairs_visible_to
from workorders.services.outside_work import OutsideWork, TaskDone, record_outside_repair
from workorders.transitions import SHOP

Long = Annotated[str, Text(2000, multiline=True)]


class TaskDoneBody(Body):
    """A task that the firm did."""

    task: Uuid
    correction: Long
    after: MeasuredBody = ABSENT

    def done(self, now: datetime) -> TaskDone:
        """Return it as the services take it."""
        return TaskDone(self.task, self.correction, self.after.measured(now) if self.after else None)


class OutsideBody(Body):
    """What an outside firm did on an order. Cost and currency are given together."""

    order: Numbered
    firm: Annotated[str, Text(120)]
    worker: Annotated[str, Text(120)] = Field(description="the name of the hand who did the work")
    place: Annotated[str, Text(200)]
    work: Long
    done_at: Instant
    tasks: Annotated[list[TaskDoneBody], Field(min_length=1, max_length=50)]
    invoice: Annotated[str, Text(60)] = ""
    cost: Annotated[Decimal, DecimalText(10, 2, least=0)] = ABSENT
    currency: Annotated[str, Pattern("[A-Z]{3}")] = ""
    photo_sha256: Sha256 = ""

    def given(self, now: datetime) -> OutsideWork:
        """Return it as the services take it."""
        sent = {name: value for name, value in self.changes().items() if name not in {"order", "tasks"}}
        return OutsideWork(**sent, tasks=[task.done(now) for task in self.tasks])


class OutsideAnswer(Answer):
    """One repair by an outside firm."""

    id: UUID
    order: int
    unit: UnitShort
    firm: str
    worker: PersonShort
    place: str
    work: str
    tasks: list[UUID] = Field(description="the keys of the tasks that were done")
    invoice: str
    cost: Decimal | None
    currency: str
    photo_sha256: str
    done_at: datetime
    recorded_at: datetime
    recorded_by: PersonShort


class OutsideFilter(StrictFilterSet):
    """Outside repairs."""

    order = OrderRefFilter("order")
    unit = UnitRefFilter("order__unit")
    firm = KnownFilter(
        known=lambda firm: OutsideRepair.objects.filter(firm__iexact=firm).exists(), lookup_expr="iexact"
    )
    since, until = within("recorded_at")


class OutsideRepairViewSet(ShopViewSet):
    """Repairs by outside firms, newest first; a driver names a unit."""

    roles = {"list": READERS, "retrieve": READERS, "create": SHOP | {Role.DRIVER}}
    filterset_class = OutsideFilter
    ordering = ("-recorded_at",)
    shows = OutsideAnswer
    unknown = "outside_repair_unknown"
    tag = "outside-repairs"

    def get_queryset(self) -> QuerySet[OutsideRepair]:
        rows = self.visible(lambda person: outside_repairs_visible_to(person, now=self.instant), OutsideRepair)
        return with_outside_parts(rows)

    def answer_of(self, row: Any) -> OutsideAnswer:
        tasks = sorted(task.pk for task in row.tasks.all())
        return OutsideAnswer.of(row, order=row.order.number, unit=row.order.unit, tasks=tasks)

    @takes(OutsideBody)
    def create(self, request: ServiceRequest, body: OutsideBody) -> Response:
        """Take in a repair by an outside firm; its tasks are done, certificates are another act."""
        order = in_body(order_key, body.order, "/order")
        if not orders_visible_to(request.person, now=request.now).filter(pk=order).exists():
            raise Invalid("order_unknown", pointer="/order")
        made = record_outside_repair(order=order, repair=body.given(request.now), actor=request.person, now=request.now)
        return self.created(
            with_outside_parts(OutsideRepair.objects.filter(pk=made.pk)).get(), f"{request.path}/{made.pk}"
        )
