"""A repair task as it is shown, with its defect in the reader's language."""

from datetime import datetime
from typing import Annotated, Self
from uuid import UUID

from pydantic import Field

from common.api.answers import Answer
from common.api.values import Word
from common.measures import number
from defects.enums import DefectState, Severity
from defects.models import Measurement
from defects.rules.catalogue.catalogue import Catalogue
from defects.selectors.defects.naming import what_of_defect
from fleet.api.people.short import PersonShort
from fleet.api.units.short import UnitShort
from fleet.enums import Scope
from fleet.models import Person
from workorders.enums import TaskState
from workorders.models import RepairTask
from workorders.selectors.orders.actions import task_actions


class DefectShort(Answer):
    """The defect behind a task, in the reader's language."""

    id: UUID
    number: int
    state: Annotated[str, Word(DefectState)]
    severity: Annotated[str, Word(Severity)]
    point: str
    place: str
    what: str = Field(description="the fault in one line")
    heard_from: str = Field(description="who told the driver of it, who did not find it himself; else empty")
    heard_at: datetime | None


class MeasurementAnswer(Answer):
    """A measured value."""

    value: str = Field(description="a decimal number, as text")
    unit_of_measure: str
    measured_at: datetime

    @classmethod
    def of_stored(cls, measured: Measurement | None) -> Self | None:
        """Return a measurement without the zeros that storing it added; None for none."""
        return None if measured is None else cls.of(measured, value=number(measured.value))


class TaskAnswer(Answer):
    """One task. `scope` is what it asks its lead to be qualified for; empty where nothing particular."""

    id: UUID
    order: int
    unit: UnitShort
    defect: DefectShort | None
    state: Annotated[str, Word(TaskState)]
    scope: Annotated[str, Word(Scope, empty=True)]
    complaint: str
    cause: str
    correction: str
    conditions: str
    road_test_at: datetime | None
    undone: str = Field(description="what a paused task leaves undone")
    cold_freight_too: bool = Field(description="whether a pause was signed as fit for cold freight too")
    lead: PersonShort | None
    helpers: list[PersonShort]
    before: MeasurementAnswer | None
    after: MeasurementAnswer | None
    opened_at: datetime
    started_at: datetime | None
    done_at: datetime | None
    cancel_reason: str
    version: int
    allowed_actions: list[str] = Field(description="what the caller may do with the task now")

    @classmethod
    def for_reader(cls, task: RepairTask, reader: Person, catalogue: Catalogue) -> Self:
        defect = task.defect
        return cls.of(
            task,
            order=task.order.number,
            unit=task.order.unit,
            defect=defect and DefectShort.of(defect, what=what_of_defect(defect, catalogue, reader.language)),
            helpers=list(task.helpers.all()),
            before=MeasurementAnswer.of_stored(task.before),
            after=MeasurementAnswer.of_stored(task.after),
            allowed_actions=task_actions(task, reader),
        )
