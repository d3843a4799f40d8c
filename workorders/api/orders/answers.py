"""A repair order as it is shown, with its tasks."""

from datetime import datetime
from typing import Annotated, Self
from uuid import UUID

from pydantic import Field

from common.api.answers import Answer
from common.api.values import Word
from defects.enums import Severity
from defects.rules.catalogue.catalogue import Catalogue
from fleet.api.people.short import PersonShort
from fleet.api.units.short import UnitShort
from fleet.models import Person
from workorders.api.tasks.answers import TaskAnswer
from workorders.enums import OrderState, WaitingFor
from workorders.models import RepairOrder
from workorders.selectors.orders.actions import order_actions


class OrderAnswer(Answer):
    """One order with its tasks. `worst_severity` is that of its open defects; null when none is open."""

    id: UUID
    number: int
    unit: UnitShort
    site: str | None
    state: Annotated[str, Word(OrderState)]
    waiting_for: Annotated[str, Word(WaitingFor, empty=True)]
    worst_severity: Annotated[str, Word(Severity)] | None
    assigned_to: PersonShort | None
    opened_at: datetime
    opened_by: PersonShort
    expected_at: datetime | None
    work_done_at: datetime | None
    closed_at: datetime | None
    cancel_reason: str
    tasks: list[TaskAnswer]
    version: int
    allowed_actions: list[str] = Field(description="what the caller may do with the order now")

    @classmethod
    def for_reader(cls, order: RepairOrder, reader: Person, catalogue: Catalogue) -> Self:
        """Return an order as a person reads it, in that person's language."""
        tasks = order.tasks.all()
        return cls.of(
            order,
            site=order.site and order.site.code,
            tasks=[TaskAnswer.for_reader(task, reader, catalogue) for task in tasks],
            allowed_actions=order_actions(order, tasks, reader),
        )
