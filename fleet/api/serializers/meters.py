"""Meter readings and replaced meters, as taken and as given: miles or hours, as decimals in texts."""

from typing import Any

from rest_framework import serializers

from common.api.fields import DecimalString, InstantField, TextField
from common.api.serializers import StrictSerializer
from common.choices import choices
from fleet.api.serializers.names import PersonName, UnitName, UnitRefField
from fleet.enums import MeterKind, ReadingState


class ReadingBody(StrictSerializer):
    """What a meter showed, and when."""

    unit = UnitRefField()
    meter = serializers.ChoiceField(choices(MeterKind))
    shown = DecimalString(max_digits=12, decimal_places=1)
    read_at = InstantField()


class ReplacementBody(StrictSerializer):
    """A meter was changed; `last_shown` is left out when the old one could not be read any more."""

    unit = UnitRefField()
    meter = serializers.ChoiceField(choices(MeterKind))
    replaced_at = InstantField()
    last_shown = DecimalString(max_digits=12, decimal_places=1, min_value=0, required=False, allow_null=True)
    first_shown = DecimalString(max_digits=12, decimal_places=1, min_value=0)
    reason = TextField(max_length=1000, multiline=True)


class ReadingOut(serializers.Serializer[Any]):
    """One reading; `total` counts replaced meters in. One that was set aside has its `query` and enters no series."""

    id = serializers.UUIDField()
    unit = UnitName()
    meter = serializers.ChoiceField(choices(MeterKind))
    shown = serializers.DecimalField(12, 1)
    total = serializers.DecimalField(12, 1)
    read_at = serializers.DateTimeField()
    state = serializers.ChoiceField(choices(ReadingState))
    query = serializers.CharField()
    walkaround = serializers.UUIDField(source="walkaround_id", allow_null=True)
    recorded_at = serializers.DateTimeField()
    recorded_by = PersonName()


class ReplacementOut(serializers.Serializer[Any]):
    """A replaced meter: from then on, total = shown + offset."""

    id = serializers.UUIDField()
    unit = UnitName()
    meter = serializers.ChoiceField(choices(MeterKind))
    offset = serializers.DecimalField(12, 1)
    replaced_at = serializers.DateTimeField()
    reason = serializers.CharField()
    recorded_at = serializers.DateTimeField()
    recorded_by = PersonName()
