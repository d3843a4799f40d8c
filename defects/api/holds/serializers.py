"""Holds as the API shows them."""

from rest_framework import serializers

from common.api.fields import InstantField, TextField
from common.api.serializers import StrictSerializer
from common.choices import choices
from defects.enums import DefectState, HoldKind
from fleet.api.serializers.names import PersonName, UnitName, UnitRefField
from fleet.enums import HoldState


class HoldOut(StrictSerializer):
    """One hold. `defect` is the number of the defect that placed it; a person's or an officer's has none."""

    id = serializers.UUIDField()
    number = serializers.IntegerField()
    unit = UnitName()
    kind = serializers.ChoiceField(choices=choices(HoldKind))
    state = serializers.ChoiceField(choices=choices(HoldState))
    defect = serializers.IntegerField(allow_null=True)
    what = TextField(max_length=600, help_text="why it stands, in your language")
    roadside_inspection = TextField(max_length=40, help_text="the officer's report; empty for the carrier's own")
    placed_at = InstantField()
    placed_by = PersonName()
    lifted_at = InstantField(allow_null=True)
    lifted_by = PersonName(allow_null=True)
    lift_reason = TextField(max_length=1000)
    lift_flag = TextField(max_length=40, help_text="what a reader should know of the lifting; empty as a rule")


class PlaceHoldBody(StrictSerializer):
    """A hold that a person places. With `defect` (number or key) it lifts when that is repaired."""

    unit = UnitRefField()
    reason = TextField(max_length=1000, multiline=True)
    defect = TextField(max_length=36, required=False)


class WaitsForOut(StrictSerializer):
    """A defect that must be repaired before the hold may be lifted, and shown where that was done on the spot."""

    number = serializers.IntegerField()
    what = TextField(max_length=600)
    state = serializers.ChoiceField(choices=choices(DefectState))
    expected_at = InstantField(allow_null=True)
    photo_awaited = serializers.BooleanField()
    firm_to_confirm = TextField(max_length=120, help_text="the signer's firm, until somebody else has confirmed it")


class HoldPageOut(HoldOut):
    """One hold, what it waits for, and what you may do now."""

    waits_for = WaitsForOut(many=True)
    allowed_actions = serializers.ListField(child=TextField(max_length=40))
