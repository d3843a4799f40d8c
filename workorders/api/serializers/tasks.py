"""Repair tasks, as their moves are asked for and as they are shown."""

from datetime import datetime
from typing import Any

from rest_framework import serializers

from common.api.fields import DecimalString, InstantField, TextField
from common.api.serializers import StrictSerializer
from common.measures import number
from defects.api.signatures import OwnSignatureIn
from defects.enums import DefectState, Severity
from defects.models import Defect, Measurement
from defects.selectors.words import what_of_defect
from defects.services.shop import Measured
from fleet.api.serializers.names import PersonName, UnitName
from workorders.enums import TaskState
from workorders.models import RepairTask
from workorders.selectors.actions import task_actions
from workorders.services.tasks import Finding


class TaskAssignBody(StrictSerializer):
    """Who leads the task, and who helps under that lead."""

    lead = serializers.UUIDField()
    helpers = serializers.ListField(child=serializers.UUIDField(), required=False, max_length=8)


class MeasuredBody(StrictSerializer):
    """A value as it was read off; measured now unless an instant says otherwise."""

    value = DecimalString(max_digits=12, decimal_places=4)
    unit_of_measure = TextField(max_length=16)
    measured_at = InstantField(required=False)


class FinishBody(StrictSerializer):
    """Cause and correction; `after` for a fault that was measured, `before` only where it differs from the report's."""

    cause = TextField(max_length=2000, multiline=True)
    correction = TextField(max_length=2000, multiline=True)
    before = MeasuredBody(required=False)
    after = MeasuredBody(required=False)

    def finding(self, now: datetime) -> Finding:
        """The validated body as a value."""
        given = self.validated_data
        return Finding(
            given["cause"], given["correction"], measured(given.get("before"), now), measured(given.get("after"), now)
        )


class NotReproducedBody(StrictSerializer):
    """Under which conditions the fault shows itself, and when a road test under them is planned."""

    conditions = TextField(max_length=2000, multiline=True)
    road_test_at = InstantField()


class PauseTaskBody(StrictSerializer):
    """What is left undone, and the signature of whoever says that the unit is fit to move with that."""

    undone = TextField(max_length=2000, multiline=True)
    cold_freight_too = serializers.BooleanField(
        default=False, help_text="whether it may carry cold freight too with this undone; else a cooling unit may not"
    )
    signature = OwnSignatureIn()


class CancelBody(StrictSerializer):
    """Why."""

    reason = TextField(max_length=1000, multiline=True)


class DefectShort(serializers.Serializer[Any]):
    """The defect behind a task, in the reader's language."""

    id = serializers.UUIDField()
    number = serializers.IntegerField()
    state = serializers.ChoiceField(choices=DefectState.choices)
    severity = serializers.ChoiceField(choices=Severity.choices)
    point = serializers.CharField()
    place = serializers.CharField()
    what = serializers.SerializerMethodField()

    def get_what(self, defect: Defect) -> str:
        """The fault in one line."""
        return what_of_defect(defect, self.context["catalogue"], self.context["person"].language)


class MeasurementOut(serializers.Serializer[Any]):
    """A measured value."""

    value = serializers.SerializerMethodField("plain_value", help_text="a decimal number, as text")
    unit_of_measure = serializers.CharField()
    measured_at = InstantField()

    def plain_value(self, measurement: Measurement) -> str:
        """The value without the zeros that storing it added."""
        return number(measurement.value)


class TaskOut(serializers.Serializer[Any]):
    """One task. `scope` is what it asks its lead to be qualified for; empty where nothing particular."""

    id = serializers.UUIDField()
    order = serializers.IntegerField(source="order.number")
    unit = UnitName(source="order.unit")
    defect = DefectShort(allow_null=True)
    state = serializers.ChoiceField(choices=TaskState.choices)
    scope = serializers.CharField()
    complaint = serializers.CharField()
    cause = serializers.CharField()
    correction = serializers.CharField()
    conditions = serializers.CharField()
    road_test_at = InstantField(allow_null=True)
    undone = serializers.CharField(help_text="what a paused task leaves undone")
    cold_freight_too = serializers.BooleanField(help_text="whether a pause was signed as fit for cold freight too")
    lead = PersonName(allow_null=True)
    helpers = PersonName(many=True)
    before = MeasurementOut(allow_null=True)
    after = MeasurementOut(allow_null=True)
    opened_at = InstantField()
    started_at = InstantField(allow_null=True)
    done_at = InstantField(allow_null=True)
    cancel_reason = serializers.CharField()
    version = serializers.IntegerField()
    allowed_actions = serializers.SerializerMethodField()

    def get_allowed_actions(self, task: RepairTask) -> list[str]:
        """What the caller may do with the task now."""
        return task_actions(task, self.context["person"])


def measured(given: dict[str, Any] | None, now: datetime) -> Measured | None:
    """A validated measurement as a value; None for none."""
    if given is None:
        return None
    return Measured(given["value"], given["unit_of_measure"], given.get("measured_at", now))
