"""Loads as a desk writes them down, as they are moved at the dock, and as they are shown."""

from typing import Any

from django.utils.translation import get_language
from rest_framework import serializers

from common import messages
from common.api.fields import DecimalString, FlagField, InstantField, TextField
from common.api.serializers import StrictSerializer
from common.choices import choices
from common.messages import Message
from defects.enums import CoolingMode, TemperatureClass
from defects.models import Load
from defects.selectors.loads.loads import load_state, seal_waits
from defects.transitions import LOADS
from fleet.api.serializers.names import PersonName, UnitName, UnitRefField


def temperature(**more: Any) -> DecimalString:
    """Degrees Fahrenheit."""
    return DecimalString(max_digits=5, decimal_places=1, **more)


class LoadBody(StrictSerializer):
    """What is to be carried, as the shipper ordered it in writing."""

    number = TextField(max_length=40, help_text="letters, digits, points, hyphens and underscores")
    temperature_class = serializers.ChoiceField(choices=choices(TemperatureClass))
    food = FlagField(required=False)
    setpoint_f = temperature(required=False, allow_null=True, help_text="needed unless dry")
    lowest_f = temperature(required=False, allow_null=True)
    highest_f = temperature(required=False, allow_null=True)
    mode = serializers.ChoiceField(choices=choices(CoolingMode), required=False, allow_blank=True)
    seal = TextField(max_length=40, required=False, allow_blank=True)
    pre_loaded = FlagField(required=False, help_text="the shipper fills the trailer before our driver comes")
    last_cargo = TextField(max_length=120, required=False, allow_blank=True)
    washout = TextField(max_length=120, required=False, allow_blank=True)
    states = serializers.ListField(
        child=TextField(max_length=2), required=False, max_length=60, help_text="States crossed, two letters each"
    )


class BoxCheckBody(StrictSerializer):
    """Which trailer's box was checked; now when no instant is given."""

    trailer = UnitRefField()
    checked_at = InstantField(required=False)


class PutBody(StrictSerializer):
    """Into which trailer; now when no instant is given."""

    trailer = UnitRefField()
    loaded_at = InstantField(required=False)


class TransloadBody(StrictSerializer):
    """Into which other trailer; now when no instant is given."""

    trailer = UnitRefField()
    transloaded_at = InstantField(required=False)


class SealBody(StrictSerializer):
    """The seal as it reads on the doors; now when no instant is given."""

    seal = TextField(max_length=40)
    compared_at = InstantField(required=False)


class SealDecisionBody(StrictSerializer):
    """What becomes of a load whose seal is not the one on the papers."""

    decision = TextField(max_length=400, multiline=True)


class DeliverBody(StrictSerializer):
    """Now when no instant is given."""

    delivered_at = InstantField(required=False)


class CancelLoadBody(StrictSerializer):
    """Why it is called off."""

    reason = TextField(max_length=400, multiline=True)


class LoadOut(serializers.Serializer[Any]):
    """One load; temperatures in °F."""

    id = serializers.UUIDField()
    number = serializers.CharField()
    state = serializers.SerializerMethodField()
    temperature_class = serializers.ChoiceField(choices=choices(TemperatureClass))
    food = serializers.BooleanField()
    setpoint_f = temperature(allow_null=True)
    lowest_f = temperature(allow_null=True)
    highest_f = temperature(allow_null=True)
    mode = serializers.ChoiceField(choices=choices(CoolingMode), allow_blank=True)
    seal = serializers.CharField()
    pre_loaded = serializers.BooleanField()
    last_cargo = serializers.CharField()
    washout = serializers.CharField()
    states = serializers.ListField(child=serializers.CharField())
    trailer = UnitName(allow_null=True)
    pre_load_checked_at = InstantField(allow_null=True)
    loaded_at = InstantField(allow_null=True)
    seal_checked_at = InstantField(allow_null=True)
    seal_checked_by = PersonName(allow_null=True)
    seal_read = serializers.CharField(help_text="what was read on the doors where it was another seal")
    seal_read_at = InstantField(allow_null=True)
    seal_read_by = PersonName(allow_null=True)
    seal_says = serializers.SerializerMethodField(help_text="what to do while dispatch has not decided over the seal")
    seal_decision = serializers.CharField()
    seal_decided_at = InstantField(allow_null=True)
    seal_decided_by = PersonName(allow_null=True)
    delivered_at = InstantField(allow_null=True)
    cancelled_at = InstantField(allow_null=True)
    cancel_reason = serializers.CharField()
    recorded_at = InstantField()
    recorded_by = PersonName()
    version = serializers.IntegerField()
    allowed_actions = serializers.SerializerMethodField()

    def get_state(self, load: Load) -> str:
        """Planned, loaded, delivered or cancelled."""
        return load_state(load)

    def get_seal_says(self, load: Load) -> str:
        """Empty where no other seal waits for a decision."""
        if not seal_waits(load):
            return ""
        return messages.render(Message("seal_differs", {"seal_read": load.seal_read}), get_language() or "en")

    def get_allowed_actions(self, load: Load) -> list[str]:
        """What the caller may do with it now."""
        return LOADS.allowed_actions(load_state(load), self.context["roles"])
