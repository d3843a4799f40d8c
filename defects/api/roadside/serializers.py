"""An officer's report as it is written down, answered and shown."""

from typing import Any

from rest_framework import serializers

from common.api.fields import DecimalString, FlagField, InstantField, TextField, WholeField
from common.api.serializers import StrictSerializer
from common.choices import choices
from defects.api.signatures import OwnSignatureIn
from defects.enums import DefectState
from defects.models import RoadsideInspection
from defects.selectors.roadside import roadside_state
from defects.transitions import ROADSIDE_INSPECTIONS
from fleet.api.serializers.names import PersonName, UnitName, UnitRefField

HIGHEST_LEVEL = 8
"""Levels of inspection are numbered I to VIII."""


class ViolationBody(StrictSerializer):
    """One line of the report: a point of the catalogue with its place, the officer's words, or both."""

    unit = UnitRefField()
    out_of_service = FlagField()
    point = TextField(max_length=80, required=False)
    place = TextField(max_length=40, required=False, allow_blank=True)
    finding = TextField(max_length=40, required=False)
    section = TextField(max_length=40, required=False, help_text="the rule as the officer names it")
    text = TextField(max_length=1000, multiline=True, required=False)
    value = DecimalString(max_digits=12, decimal_places=4, required=False)
    unit_of_measure = TextField(max_length=16, required=False)


class RoadsideBody(StrictSerializer):
    """The report as the officer gave it; without violations it is a clean one."""

    report_number = TextField(max_length=40)
    inspected_at = InstantField()
    officer = TextField(max_length=120)
    state = TextField(max_length=2, help_text="two capital letters")
    level = WholeField(min_value=1, max_value=HIGHEST_LEVEL)
    units = serializers.ListField(child=UnitRefField(), min_length=1, max_length=8)
    violations = serializers.ListField(child=ViolationBody(), required=False, max_length=60)


class AnswerBody(StrictSerializer):
    """The official's title and signature: every violation on the report is corrected."""

    official_title = TextField(max_length=120)
    signature = OwnSignatureIn()


class ViolationOut(serializers.Serializer[Any]):
    """One line with the defect it is about."""

    position = serializers.IntegerField()
    unit = UnitName()
    out_of_service = serializers.BooleanField()
    section = serializers.CharField()
    text = serializers.CharField()
    point = serializers.CharField(source="defect.point")
    place = serializers.CharField(source="defect.place")
    defect = serializers.IntegerField(source="defect.number")
    defect_state = serializers.ChoiceField(source="defect.state", choices=choices(DefectState))


class OfficersOrderOut(serializers.Serializer[Any]):
    """An officer's order on one unit: a hold."""

    hold = serializers.IntegerField(source="number")
    unit = UnitName()
    lifted_at = InstantField(allow_null=True)


class RoadsideOut(serializers.Serializer[Any]):
    """One inspection. `orders` stand on the units that they name and on no other."""

    id = serializers.UUIDField()
    report_number = serializers.CharField()
    state_of_answer = serializers.SerializerMethodField()
    inspected_at = InstantField()
    officer = serializers.CharField()
    state = serializers.CharField()
    level = serializers.IntegerField()
    units = UnitName(many=True)
    violations = ViolationOut(many=True)
    orders = OfficersOrderOut(many=True, source="holds")
    received_at = InstantField()
    recorded_by = PersonName()
    answer_due_on = serializers.DateField(allow_null=True)
    answered_at = InstantField(allow_null=True)
    answered_by = PersonName(allow_null=True)
    answer_title = serializers.CharField()
    version = serializers.IntegerField()
    allowed_actions = serializers.SerializerMethodField()

    def get_state_of_answer(self, inspection: RoadsideInspection) -> str:
        """Clean, answer owed or answered."""
        return roadside_state(inspection)

    def get_allowed_actions(self, inspection: RoadsideInspection) -> list[str]:
        """What the caller may do with it now."""
        if inspection.is_clean:
            return []
        return ROADSIDE_INSPECTIONS.allowed_actions(roadside_state(inspection), self.context["roles"])
