"""A line of the expiry list as given, and feeds of it as taken and given."""

from typing import Any

from rest_framework import serializers

from common.api.fields import TextField, UuidField
from common.api.language import current_language
from common.api.serializers import StrictSerializer
from fleet.api.expiry_filter import LONGEST_HORIZON_DAYS
from fleet.api.expiry_forms.words import kind_in_words, sentence
from fleet.api.serializers.names import PersonName, UnitName, UnitRefField
from fleet.rules.documents.kinds import SUBJECTS
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.qualified import qualification_kinds
from fleet.rules.documents.states import DocumentState
from fleet.selectors.documents.expiries.expiry import Expiry


class ExpiryOut(serializers.Serializer[Any]):
    """One paper or qualification that ends, or a paper that is missing, as it stands on the carrier's present day.

    Until the carrier has said which conditional papers apply, each kind of them is listed with the status `not_known`.

    `ends_on` and `ends_on_month` are both readings of an end; `last_day` is the one that counts under the carrier's
    reading, a grace included. `days_left` counts to the day to act by, in a grace to its last day, and is negative once
    `last_day` is over. What is missing has no days, no document and no link. `responsible` holds the compliance role
    at the home site, or everywhere.
    """

    id = serializers.UUIDField(help_text="The document's or qualification's, or a stable key of what is missing.")
    document = serializers.UUIDField(allow_null=True)
    qualification = serializers.UUIDField(allow_null=True)
    link = serializers.CharField(allow_null=True)
    subject = serializers.ChoiceField(sorted(SUBJECTS))
    unit = UnitName(allow_null=True)
    person = PersonName(allow_null=True)
    site = serializers.CharField(allow_null=True, help_text="Code of the home site.")
    kind = serializers.CharField(source="kind.name")
    kind_text = serializers.SerializerMethodField()
    number = serializers.CharField()
    state = serializers.CharField()
    starts_on = serializers.DateField(allow_null=True)
    ends_on = serializers.DateField(allow_null=True)
    ends_on_month = serializers.DateField(allow_null=True)
    last_day = serializers.DateField(allow_null=True)
    grace_until = serializers.DateField(allow_null=True)
    status = serializers.ChoiceField(sorted(DocumentState))
    days_left = serializers.IntegerField(allow_null=True)
    in_grace = serializers.BooleanField()
    says = serializers.SerializerMethodField()
    bars_clearance = serializers.BooleanField(source="bars")
    source = serializers.CharField(  # type: ignore[assignment]  # the framework collects it from the class
        source="kind.source.text", help_text="Where the rule is written."
    )
    responsible = PersonName(many=True)

    def get_kind_text(self, row: Expiry) -> str:
        """Return the kind in words of the reader."""
        return kind_in_words(row, current_language())

    def get_says(self, row: Expiry) -> str:
        """Return what the paper is today."""
        return sentence(row, current_language())


class FeedFilters(StrictSerializer):
    """What a feed shows, as the query of the list would say it; days count from the day of each reading."""

    within_days = serializers.IntegerField(min_value=0, max_value=LONGEST_HORIZON_DAYS, required=False)
    kind = serializers.ChoiceField([*load_document_kinds(), *qualification_kinds()], required=False)
    subject = serializers.ChoiceField(sorted(SUBJECTS), required=False)
    site = TextField(max_length=24, required=False)
    unit = UnitRefField(required=False)
    person = UuidField(required=False)
    responsible = UuidField(required=False)


class FeedBody(StrictSerializer):
    """A feed under a name of one's own."""

    name = TextField(max_length=80)
    filters = FeedFilters(required=False)
    ends_on = serializers.DateField(required=False, help_text="The last day, a year from today at most and without it.")


class FeedShown(serializers.Serializer[Any]):
    """What a feed shows."""

    within_days = serializers.IntegerField(required=False)
    kind = serializers.CharField(required=False)
    subject = serializers.CharField(required=False)
    site = serializers.CharField(required=False)
    unit = serializers.CharField(required=False)
    person = UuidField(required=False)
    responsible = UuidField(required=False)


class FeedOut(serializers.Serializer[Any]):
    """A feed of a calendar program; its address is told once, when it is made."""

    id = serializers.UUIDField()
    person = PersonName()
    name = serializers.CharField()
    filters = FeedShown()
    created_at = serializers.DateTimeField()
    ends_on = serializers.DateField(help_text="The last day; the feed itself tells of it in the month before.")
    last_used_at = serializers.DateTimeField(allow_null=True, help_text="To the hour.")


class NewFeedOut(FeedOut):
    """A feed that has just been made."""

    address = serializers.CharField(help_text="Whoever has it can read the feed; told this once.")
