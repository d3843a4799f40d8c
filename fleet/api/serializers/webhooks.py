"""Addresses that notices are posted to, as they are sent and answered."""

from typing import Any

from rest_framework import serializers

from common.api.fields import TextField, UuidField
from common.api.serializers import StrictSerializer
from fleet.api.serializers.names import PersonName


class WebhookBody(StrictSerializer):
    """Whose notices are posted, and where."""

    person = UuidField()
    url = TextField(max_length=400)
    ends_on = serializers.DateField(
        required=False, allow_null=True, help_text="The last day; without it, until it is closed."
    )


class WebhookOut(serializers.Serializer[Any]):
    """An address; its secret is told once, when it is recorded."""

    id = serializers.UUIDField()
    person = PersonName()
    url = serializers.CharField()
    recorded_at = serializers.DateTimeField()
    recorded_by = PersonName()
    ends_on = serializers.DateField(allow_null=True)
    closed_at = serializers.DateTimeField(allow_null=True)
    closed_by = PersonName(allow_null=True, help_text="Empty where it ended by itself.")


class NewWebhookOut(WebhookOut):
    """An address that has just been recorded."""

    secret = serializers.CharField(help_text="Signs every message (Standard Webhooks, v1); told this once.")
