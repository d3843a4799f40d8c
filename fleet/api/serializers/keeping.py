"""Legal holds and deletion records, as taken and as given."""

from typing import Any

from rest_framework import serializers

from common.api.fields import TextField
from common.api.serializers import StrictSerializer
from fleet.api.serializers.names import PersonName, UnitName, UnitRefField
from fleet.enums import Deleted, HoldCause
from fleet.models import LegalHold
from fleet.states import legal_hold_state
from fleet.transitions import LEGAL_HOLD

LONGEST_REASON = 2_000


class LegalHoldBody(StrictSerializer):
    """Which unit's file is frozen, and why."""

    unit = UnitRefField()
    cause = serializers.ChoiceField(HoldCause.choices)
    reason = TextField(max_length=LONGEST_REASON)


class LegalHoldLiftBody(StrictSerializer):
    """Why the file may go its way again."""

    reason = TextField(max_length=LONGEST_REASON)


class LegalHoldOut(serializers.Serializer[Any]):
    """While one stands, nothing of the unit's file is deleted. It bars no unit from rolling; a hold does that."""

    id = serializers.UUIDField()
    unit = UnitName()
    cause = serializers.ChoiceField(HoldCause.choices)
    reason = serializers.CharField()
    placed_at = serializers.DateTimeField()
    placed_by = PersonName()
    lifted_at = serializers.DateTimeField(allow_null=True)
    lifted_by = PersonName(allow_null=True)
    lift_reason = serializers.CharField(help_text="Empty while it stands.")
    allowed_actions = serializers.SerializerMethodField()

    def get_allowed_actions(self, hold: LegalHold) -> list[str]:
        """Return what the caller may do with it now."""
        return LEGAL_HOLD.allowed_actions(legal_hold_state(hold), self.context["roles"])


class DeletionOut(serializers.Serializer[Any]):
    """What a sweep deleted after its days of keeping, and the hash that stays as its proof."""

    id = serializers.UUIDField()
    what = serializers.ChoiceField(Deleted.choices)
    record = serializers.UUIDField(help_text="The row whose content went; the row itself stays.")
    unit = UnitName(allow_null=True)
    unit_name = serializers.CharField(help_text="The unit as it was called that day; empty where it is none's.")
    subject = serializers.UUIDField(allow_null=True, help_text="What the record was about.")
    event = serializers.CharField(help_text="The kind of history entry, else empty.")
    record_kind = serializers.CharField()
    kept_until = serializers.DateField(help_text="The last day of keeping.")
    rule = serializers.CharField()
    source = serializers.CharField()  # type: ignore[assignment]  # a field of this name is collected before it shadows
    content_hash = serializers.RegexField(r"^[0-9a-f]{64}$")
    deleted_at = serializers.DateTimeField()
    sweep = serializers.UUIDField(help_text="The same for everything that one sweep deleted.")


class DeletedContent(serializers.Serializer[Any]):
    """Why an entry says nothing any more."""

    deleted_at = serializers.DateTimeField()
    kept_until = serializers.DateField()
    rule = serializers.CharField()
    source = serializers.CharField()  # type: ignore[assignment]  # a field of this name is collected before it shadows
    content_hash = serializers.RegexField(r"^[0-9a-f]{64}$")
