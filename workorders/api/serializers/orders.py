"""Repair orders, as they are opened, moved and shown."""

from typing import Any

from rest_framework import serializers

from common.api.fields import InstantField, TextField
from common.api.serializers import StrictSerializer
from defects.enums import Severity
from fleet.api.serializers.names import PersonName, SiteCode, UnitName, UnitRefField
from fleet.enums import Scope
from workorders.api.serializers.tasks import TaskOut
from workorders.enums import OrderState, WaitingFor
from workorders.models import RepairOrder
from workorders.selectors.actions import order_actions
from workorders.services.desk import Job


class JobBody(StrictSerializer):
    """A piece of work that no defect asks for."""

    complaint = TextField(max_length=2000, multiline=True)
    scope = serializers.ChoiceField(choices=Scope.choices, required=False)


class OpenBody(StrictSerializer):
    """Open defects of one unit, other jobs on it, or both."""

    unit = UnitRefField()
    defects = serializers.ListField(child=serializers.UUIDField(), required=False, max_length=100)
    jobs = serializers.ListField(child=JobBody(), required=False, max_length=100)

    @property
    def given_jobs(self) -> list[Job]:
        """The jobs as values."""
        return [Job(job["complaint"], job.get("scope", "")) for job in self.validated_data.get("jobs", ())]


class AssignBody(StrictSerializer):
    """Who answers for the order; with a site's code, the order moves to that shop."""

    assigned_to = serializers.UUIDField()
    site = TextField(max_length=24, required=False)


class WaitBody(StrictSerializer):
    """What the work waits for."""

    waiting_for = serializers.ChoiceField(choices=WaitingFor.choices)
    reason = TextField(max_length=1000, multiline=True, required=False)


class ExpectedBody(StrictSerializer):
    """When it is expected to be done."""

    expected_at = InstantField()
    reason = TextField(max_length=1000, multiline=True, required=False)


class OrderOut(serializers.Serializer[Any]):
    """One order with its tasks. `worst_severity` is that of its open defects; null when none is open."""

    id = serializers.UUIDField()
    number = serializers.IntegerField()
    unit = UnitName()
    site = SiteCode(allow_null=True)
    state = serializers.ChoiceField(choices=OrderState.choices)
    waiting_for = serializers.ChoiceField(choices=WaitingFor.choices, allow_blank=True)
    worst_severity = serializers.ChoiceField(choices=Severity.choices, allow_null=True)
    assigned_to = PersonName(allow_null=True)
    opened_at = InstantField()
    opened_by = PersonName()
    expected_at = InstantField(allow_null=True)
    work_done_at = InstantField(allow_null=True)
    closed_at = InstantField(allow_null=True)
    cancel_reason = serializers.CharField()
    tasks = TaskOut(many=True)
    version = serializers.IntegerField()
    allowed_actions = serializers.SerializerMethodField()

    def get_allowed_actions(self, order: RepairOrder) -> list[str]:
        """What the caller may do with the order now."""
        return order_actions(order, order.tasks.all(), self.context["person"])
