"""Documents as taken and as given: days are last days, included, in the carrier's zone."""

from datetime import date
from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from common.api.fields import FlagField, TextField, UuidField
from common.api.serializers import StrictSerializer
from common.choices import choices
from fleet.api.serializers.names import PersonName, UnitName, UnitRefField
from fleet.enums import InspectionProgram
from fleet.models import Document
from fleet.rules.documents.states import DocumentState
from fleet.selectors.documents.status import REPLACED, PaperDay
from fleet.states import document_state
from fleet.transitions import DOCUMENT


class PaperBody(StrictSerializer):
    """What a paper says. An end that its kind computes from the first day need not be given."""

    number = TextField(max_length=60, required=False, allow_blank=True)
    issuer = TextField(max_length=160, required=False, allow_blank=True)
    issued_on = serializers.DateField(required=False, allow_null=True)
    starts_on = serializers.DateField(
        required=False, allow_null=True, help_text="First day, or the day of inspection, first use or filing."
    )
    ends_on = serializers.DateField(required=False, allow_null=True)
    permanent = FlagField(required=False, help_text="The paper has no end; only for kinds that may have none.")
    program = serializers.ChoiceField(choices(InspectionProgram), required=False, allow_blank=True)
    inspector = TextField(
        max_length=120, required=False, allow_blank=True, help_text="Name; of one of our own, as it stands on record."
    )
    evidence_held_by = TextField(
        max_length=160,
        required=False,
        allow_blank=True,
        help_text="Who keeps the evidence that an outside inspector is qualified (49 CFR 396.19).",
    )


class EditPaperBody(PaperBody):
    """What was typed wrong on a paper."""

    state = TextField(max_length=2, required=False, allow_blank=True)


class DocumentBody(EditPaperBody):
    """A paper of a unit, of a person, or with neither of the carrier."""

    kind = TextField(max_length=48)
    unit = UnitRefField(required=False, allow_null=True)
    person = UuidField(required=False, allow_null=True)

    @property
    def facts(self) -> dict[str, object]:
        """Return what the paper itself says."""
        return {name: value for name, value in self.validated_data.items() if name not in {"kind", "unit", "person"}}


class DocumentOut(serializers.Serializer[Any]):
    """One paper.

    `ends_on` is the end by day, `ends_on_month` the other reading of a period counted in months; `last_day` is the one
    that counts under the carrier's reading, a grace included. `status` is that of the carrier's present day.
    """

    id = serializers.UUIDField()
    kind = serializers.CharField()
    unit = UnitName(allow_null=True)
    person = PersonName(allow_null=True)
    number = serializers.CharField()
    issuer = serializers.CharField()
    state = serializers.CharField()
    issued_on = serializers.DateField(allow_null=True)
    starts_on = serializers.DateField(allow_null=True)
    ends_on = serializers.DateField(allow_null=True)
    ends_on_month = serializers.DateField(allow_null=True)
    last_day = serializers.SerializerMethodField()
    status = serializers.SerializerMethodField()
    program = serializers.CharField()
    inspector = serializers.CharField()
    evidence_held_by = serializers.CharField()
    inspector_unproven = serializers.BooleanField(
        help_text="Taken in from a table that does not show who was qualified to inspect."
    )
    file = serializers.CharField(source="file_id", allow_null=True, help_text="SHA-256 of the scan.")
    recorded_at = serializers.DateTimeField()
    replaced_at = serializers.DateTimeField(allow_null=True)
    replaced_by = serializers.UUIDField(source="replaced_by_id", allow_null=True)
    version = serializers.IntegerField()
    allowed_actions = serializers.SerializerMethodField()

    @extend_schema_field({"type": ["string", "null"], "format": "date"})
    def get_last_day(self, document: Document) -> date | None:
        """Return the last day on which it serves; null without an end."""
        return self._day.last_day(document)

    @extend_schema_field({"type": "string", "enum": [*DocumentState, REPLACED]})
    def get_status(self, document: Document) -> str:
        """Return what the paper is on the carrier's present day."""
        return self._day.status(document)

    @property
    def _day(self) -> PaperDay:
        day: PaperDay = self.context["day"]
        return day

    def get_allowed_actions(self, document: Document) -> list[str]:
        """Return what the caller may do with it now."""
        return DOCUMENT.allowed_actions(document_state(document), self.context["roles"])
