"""Refusals as they are sent and shown."""

from rest_framework import serializers

from common.api.fields import InstantField, Sha256Field, TextField, UuidField
from common.api.serializers import StrictSerializer
from common.choices import choices
from defects.api.signatures import OwnSignatureIn
from defects.enums import RefusalState
from fleet.api.serializers.names import PersonName, UnitName, UnitRefField


class RefusalBody(StrictSerializer):
    """A driver's refusal of a unit."""

    id = UuidField(help_text="made by the phone; sent again, it gives the same refusal")
    unit = UnitRefField()
    reason = TextField(max_length=2000, multiline=True)
    defects = serializers.ListField(
        child=TextField(max_length=36), required=False, max_length=40, help_text="numbers or keys"
    )
    signature = OwnSignatureIn()


class SecondLookBody(StrictSerializer):
    """What a second qualified person found."""

    finding = TextField(max_length=2000, multiline=True)
    looked_at = InstantField()


class SecondLookOut(StrictSerializer):
    """The second look."""

    person = PersonName()
    finding = TextField(max_length=2000)
    looked_at = InstantField()


class RefusalOut(StrictSerializer):
    """A refusal. `copy` is the driver's own, proven by its SHA-256; empty for whoever may not read it."""

    id = serializers.UUIDField()
    unit = UnitName()
    state = serializers.ChoiceField(choices=choices(RefusalState))
    person = PersonName()
    reason = TextField(max_length=2000)
    defects = serializers.ListField(child=serializers.IntegerField())
    refused_at = InstantField()
    received_at = InstantField()
    copy = TextField(max_length=20000)
    copy_sha256 = Sha256Field()
    second_look = SecondLookOut(allow_null=True)
    told = serializers.ListField(child=TextField(max_length=120), help_text="who was told of the refusal, by name")
    allowed_actions = serializers.ListField(child=TextField(max_length=40))
