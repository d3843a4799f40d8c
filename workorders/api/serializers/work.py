"""Labor and outside repairs, as they are told and as they are shown."""

from datetime import datetime
from typing import Any

from rest_framework import serializers

from common.api.fields import DecimalString, InstantField, Sha256Field, TextField
from common.api.serializers import StrictSerializer
from fleet.api.serializers.names import PersonName, UnitName
from workorders.api.serializers.tasks import MeasuredBody, measured
from workorders.enums import LaborRole
from workorders.models import OutsideRepair
from workorders.services.outside import OutsideWork, TaskDone


class LaborBody(StrictSerializer):
    """Whose time begins to run on a task; one's own when nobody is named."""

    task = serializers.UUIDField()
    role = serializers.ChoiceField(choices=LaborRole.choices)
    person = serializers.UUIDField(required=False)


class PauseBody(StrictSerializer):
    """Why the work is broken off."""

    cause = TextField(max_length=60)


class LaborOut(serializers.Serializer[Any]):
    """Time of one person on one task; still running while it has no end."""

    id = serializers.UUIDField()
    task = serializers.UUIDField(source="task_id")
    order = serializers.IntegerField(source="task.order.number")
    unit = UnitName(source="task.order.unit")
    person = PersonName()
    role = serializers.ChoiceField(choices=LaborRole.choices)
    started_at = InstantField()
    ended_at = InstantField(allow_null=True)
    pause_cause = serializers.CharField()
    rate = DecimalString(max_digits=8, decimal_places=2, allow_null=True, help_text="for an hour, as it was then")
    currency = serializers.CharField(help_text="three letters; empty without a rate")


class TaskDoneBody(StrictSerializer):
    """A task that the firm did."""

    task = serializers.UUIDField()
    correction = TextField(max_length=2000, multiline=True)
    after = MeasuredBody(required=False)


class OutsideBody(StrictSerializer):
    """What an outside firm did on an order, `order` by its key. Cost and currency are given together."""

    order = serializers.UUIDField()
    firm = TextField(max_length=120)
    worker = TextField(max_length=120, help_text="the name of the hand who did the work")
    place = TextField(max_length=200)
    work = TextField(max_length=2000, multiline=True)
    done_at = InstantField()
    tasks = serializers.ListField(child=TaskDoneBody(), allow_empty=False, max_length=50)
    invoice = TextField(max_length=60, required=False)
    cost = DecimalString(max_digits=10, decimal_places=2, min_value=0, required=False)
    currency = serializers.RegexField(r"^[A-Z]{3}$", required=False)
    photo_sha256 = Sha256Field(required=False)

    def given(self, now: datetime) -> OutsideWork:
        """The validated body as a value."""
        data = {name: value for name, value in self.validated_data.items() if name not in {"order", "tasks"}}
        tasks = [
            TaskDone(item["task"], item["correction"], measured(item.get("after"), now))
            for item in self.validated_data["tasks"]
        ]
        return OutsideWork(**data, tasks=tasks)


class OutsideOut(serializers.Serializer[Any]):
    """One repair by an outside firm."""

    id = serializers.UUIDField()
    order = serializers.IntegerField(source="order.number")
    unit = UnitName(source="order.unit")
    firm = serializers.CharField()
    worker = PersonName()
    place = serializers.CharField()
    work = serializers.CharField()
    tasks = serializers.SerializerMethodField()
    invoice = serializers.CharField()
    cost = serializers.DecimalField(10, 2, allow_null=True)
    currency = serializers.CharField()
    photo_sha256 = serializers.CharField()
    done_at = InstantField()
    recorded_at = InstantField()
    recorded_by = PersonName()

    def get_tasks(self, repair: OutsideRepair) -> list[str]:
        """The keys of the tasks that were done."""
        return sorted(str(task.pk) for task in repair.tasks.all())
