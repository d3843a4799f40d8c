"""Notices in words of the reader, and the deliveries that could not leave."""

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from common.api.fields import TextField, UuidField
from common.api.language import current_language
from common.api.serializers import StrictSerializer
from common.messages import Message, render
from fleet.api.serializers.names import PersonName, UnitName
from fleet.enums import Channel, DeliveryState, NoticeKind
from fleet.models import Notice
from fleet.rules.notifications.timing import possible_answers
from fleet.services.notifications.composing import sentence_of, worded_facts

ACTIONS = ("acknowledge", "snooze")
LONGEST_REASON = 1000


class SnoozeBody(StrictSerializer):
    """The day whose digest brings it again, at most 30 days from now, and why it can wait until then."""

    until = serializers.DateField()
    reason = TextField(max_length=LONGEST_REASON, multiline=True)


class RetryBody(StrictSerializer):
    """Which parked messages to send again: all of them, or those on a channel or to a person."""

    channel = serializers.ChoiceField(Channel.choices, required=False)
    person = UuidField(required=False)


class RetriedOut(serializers.Serializer[Any]):
    """How many messages are on their way again."""

    retried = serializers.IntegerField()


class DeliveryName(serializers.Serializer[Any]):
    """One message that carried the notice, or is to."""

    channel = serializers.ChoiceField(Channel.choices)
    state = serializers.ChoiceField(DeliveryState.choices)
    sent_at = serializers.DateTimeField(allow_null=True)
    last_error = serializers.CharField(help_text="Why it has not left, where it was tried or could not be.")


class ToldNotice(serializers.Serializer[Any]):
    """What is owed to a person: `text` and `facts` in the reader's language, instants in the reader's zone.

    What a newer release wrote may be of a code that this one has no sentence for: the code then stands there with its
    facts.
    """

    id = serializers.UUIDField()
    kind = serializers.ChoiceField(NoticeKind.choices)
    code = serializers.CharField()
    text = serializers.SerializerMethodField()
    facts = serializers.SerializerMethodField()
    unit = UnitName(allow_null=True)
    subject = serializers.UUIDField(
        source="subject_id", allow_null=True, help_text="What it is about: a hold, a paper."
    )
    urgent = serializers.BooleanField()
    ended = serializers.BooleanField(help_text="What it tells of has ended: the text then says so, and nothing leaves.")
    owed_at = serializers.DateTimeField()

    def get_text(self, notice: Notice) -> str:
        """Return the sentence."""
        says = sentence_of(notice, language=current_language(), zone=self.context["zone"])
        return render(Message("notice_ended", {"what": says}), current_language()) if notice.ended else says

    @extend_schema_field({"type": "object", "additionalProperties": {"type": "string"}})
    def get_facts(self, notice: Notice) -> dict[str, str]:
        """Return the facts that the sentence names, each in words."""
        return worded_facts(notice, language=current_language(), zone=self.context["zone"])


class NoticeOut(ToldNotice):
    """A notice of one's own, with what was answered to it and how it left."""

    acknowledged_at = serializers.DateTimeField(allow_null=True)
    snoozed_until = serializers.DateTimeField(allow_null=True)
    snooze_reason = serializers.CharField()
    escalated_at = serializers.DateTimeField(allow_null=True)
    deliveries = DeliveryName(many=True)
    allowed_actions = serializers.SerializerMethodField()

    @extend_schema_field({"type": "array", "items": {"type": "string", "enum": list(ACTIONS)}})
    def get_allowed_actions(self, notice: Notice) -> list[str]:
        """Return what the person may do with it now."""
        return possible_answers(notice.kind, urgent=notice.urgent, acknowledged=notice.acknowledged_at is not None)


class DeliveryOut(DeliveryName):
    """One message to one person, and when it is tried next."""

    id = serializers.UUIDField()
    person = PersonName()
    digest_on = serializers.DateField(allow_null=True)
    attempts = serializers.IntegerField()
    next_try_at = serializers.DateTimeField()


class ParkedDeliveryOut(serializers.Serializer[Any]):
    """A message that could not leave and is tried only now and then: to whom, why, and what it was to carry."""

    id = serializers.UUIDField()
    person = PersonName()
    channel = serializers.ChoiceField(Channel.choices)
    digest_on = serializers.DateField(allow_null=True)
    attempts = serializers.IntegerField()
    last_error = serializers.CharField()
    next_try_at = serializers.DateTimeField(help_text="When it is tried again by itself, within a week of being owed.")
    notices = ToldNotice(many=True)
