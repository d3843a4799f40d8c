"""Bodies of the moves of a repair task."""

from datetime import datetime
from decimal import Decimal
from typing import Annotated

from pydantic import Field

from common.api.bodies import ABSENT, Body
from common.api.values import DecimalText, Flag, Instant, Text, Uuid
from defects.api.records import OwnSignature
from defects.services.records.measurements import Measured
from workorders.services.tasks.tasks import Completion

Long = Annotated[str, Text(2000, multiline=True)]


class TaskAssignBody(Body):
    """Who leads the task, and who helps under that lead."""

    lead: Uuid
    helpers: Annotated[list[Uuid], Field(max_length=8)] = []


class MeasuredBody(Body):
    """A value as it was read off; measured now unless an instant says otherwise."""

    value: Annotated[Decimal, DecimalText(12, 4)]
    unit_of_measure: Annotated[str, Text(16)]
    measured_at: Instant = ABSENT

    def measured(self, now: datetime) -> Measured:
        return Measured(self.value, self.unit_of_measure, self.measured_at or now)


class FinishBody(Body):
    """Cause and correction; `after` for a fault that was measured, `before` only where it differs from the report's."""

    cause: Long
    correction: Long
    before: MeasuredBody = ABSENT
    after: MeasuredBody = ABSENT

    def completion(self, now: datetime) -> Completion:
        before, after = (each.measured(now) if each else None for each in (self.before, self.after))
        return Completion(self.cause, self.correction, before, after)


class NotReproducedBody(Body):
    """Under which conditions the fault shows itself, and when a road test under them is planned."""

    conditions: Long
    road_test_at: Instant


class PauseTaskBody(Body):
    """What is left undone, and the signature of whoever says that the unit is fit to move with that."""

    undone: Long
    cold_freight_too: Flag = Field(
        default=False, description="whether it may carry cold freight too with this undone; else a cooling unit may not"
    )
    signature: OwnSignature


class CancelBody(Body):
    """Why."""

    reason: Annotated[str, Text(1000, multiline=True)]
