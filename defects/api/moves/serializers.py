"""Moves of barred units as they are sent and shown."""

from rest_framework import serializers

from common.api.fields import DecimalString, FlagField, InstantField, TextField, UuidField
from common.api.serializers import StrictSerializer
from common.choices import choices
from defects.enums import MoveState
from fleet.api.serializers.names import PersonName, UnitName, UnitRefField


class YardMoveBody(StrictSerializer):
    """A move on private ground to the bay."""

    unit = UnitRefField()
    site = TextField(max_length=24)
    from_place = TextField(max_length=120)
    to_place = TextField(max_length=120)
    reason = TextField(max_length=1000, multiline=True)
    moved_at = InstantField()


class YardMoveOut(StrictSerializer):
    """A recorded yard move."""

    id = serializers.UUIDField()
    unit = UnitName()
    site = TextField(max_length=24)
    from_place = TextField(max_length=120)
    to_place = TextField(max_length=120)
    reason = TextField(max_length=1000)
    person = PersonName()
    moved_at = InstantField()
    recorded_at = InstantField()


class LimitedMoveBody(StrictSerializer):
    """What 396.7(b) asks for before a unit found unsafe on the highway may go on to the nearest safe repair place."""

    unit = UnitRefField()
    found_on_highway = FlagField()
    found_at_place = TextField(max_length=200)
    to_place = TextField(max_length=200)
    distance_mi = DecimalString(max_digits=6, decimal_places=1)
    why_nearest = TextField(max_length=2000, multiline=True)
    why_less_hazardous = TextField(max_length=2000, multiline=True)
    driver = UuidField()
    driver_consented_at = InstantField()
    ends_at = InstantField()
    conditions = TextField(max_length=2000, multiline=True, required=False, allow_blank=True)


class EndBody(StrictSerializer):
    """When the move was over, and what there is to say about it."""

    ended_at = InstantField()
    note = TextField(max_length=2000, multiline=True, required=False, allow_blank=True)


class LimitedMoveOut(StrictSerializer):
    """A limited move."""

    id = serializers.UUIDField()
    unit = UnitName()
    state = serializers.ChoiceField(choices=choices(MoveState))
    found_at_place = TextField(max_length=200)
    to_place = TextField(max_length=200)
    distance_mi = DecimalString(max_digits=6, decimal_places=1)
    why_nearest = TextField(max_length=2000)
    why_less_hazardous = TextField(max_length=2000)
    driver = PersonName()
    driver_consented_at = InstantField()
    conditions = TextField(max_length=2000)
    approved_by = PersonName()
    approved_at = InstantField()
    ends_at = InstantField()
    ended_at = InstantField(allow_null=True)
    end_note = TextField(max_length=2000)
    allowed_actions = serializers.ListField(child=TextField(max_length=40))
