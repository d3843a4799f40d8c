"""Turns of the roster of people on call, as they are sent and answered."""

from typing import Any

from rest_framework import serializers

from common.api.fields import InstantField, TextField, UuidField
from common.api.serializers import StrictSerializer
from fleet.api.serializers.names import PersonName, SiteCode
from fleet.enums import Role


class OnCallBody(StrictSerializer):
    """Who is on call in a role from an instant to an instant, for one site (its code) or everywhere."""

    person = UuidField()
    role = serializers.ChoiceField(Role.choices)
    site = TextField(max_length=24, required=False, allow_null=True)
    starts_at = InstantField()
    ends_at = InstantField()


class OnCallOut(serializers.Serializer[Any]):
    """A turn, with who entered it, and when it was withdrawn if it was."""

    id = serializers.UUIDField()
    person = PersonName()
    role = serializers.ChoiceField(Role.choices)
    site = SiteCode(allow_null=True)
    starts_at = serializers.DateTimeField()
    ends_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    recorded_by = PersonName()
    withdrawn_at = serializers.DateTimeField(allow_null=True)
