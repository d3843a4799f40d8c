"""What is written down about a load at risk, and the record as it is shown."""

from typing import Any

from rest_framework import serializers

from common.api.fields import InstantField, TextField
from common.api.serializers import StrictSerializer
from common.choices import choices
from defects.api.loads.serializers import temperature
from defects.api.signatures import OwnSignatureIn
from defects.enums import RiskEntryKind, RiskState, TemperatureClass
from defects.models import LoadAtRisk
from defects.transitions import LOADS_AT_RISK
from fleet.api.serializers.names import PersonName, UnitName


class EntryBody(StrictSerializer):
    """A reading has a temperature, a call and a decision have words; now when no instant is given."""

    kind = serializers.ChoiceField(choices=choices(RiskEntryKind))
    at = InstantField(required=False)
    text = TextField(max_length=2000, multiline=True, required=False)
    return_air_f = temperature(required=False, help_text="air that returns to the cooling unit")
    product_f = temperature(required=False, help_text="inside the product")


class DisposeBody(StrictSerializer):
    """What becomes of the food, signed by a person qualified to decide it."""

    disposition = TextField(max_length=2000, multiline=True)
    signature = OwnSignatureIn()


class EntryOut(serializers.Serializer[Any]):
    """One entry, as it was written."""

    id = serializers.UUIDField()
    kind = serializers.ChoiceField(choices=choices(RiskEntryKind))
    at = InstantField()
    person = PersonName()
    text = serializers.CharField()
    return_air_f = temperature(allow_null=True)
    product_f = temperature(allow_null=True)
    recorded_at = InstantField()


class LoadAtRiskOut(serializers.Serializer[Any]):
    """One load at risk with its entries, oldest first."""

    id = serializers.UUIDField()
    state = serializers.ChoiceField(choices=choices(RiskState))
    trailer = UnitName()
    load = serializers.CharField(source="load.number")
    temperature_class = serializers.ChoiceField(source="load.temperature_class", choices=choices(TemperatureClass))
    setpoint_f = temperature(source="load.setpoint_f", allow_null=True)
    defect = serializers.IntegerField(source="defect.number")
    fault_on = UnitName(source="defect.unit")
    opened_at = InstantField()
    opened_by = PersonName()
    entries = EntryOut(many=True)
    disposition = serializers.CharField()
    disposed_by = PersonName(allow_null=True)
    closed_at = InstantField(allow_null=True)
    version = serializers.IntegerField()
    allowed_actions = serializers.SerializerMethodField()

    def get_allowed_actions(self, risk: LoadAtRisk) -> list[str]:
        """What the caller may do with it now."""
        return LOADS_AT_RISK.allowed_actions(risk.state, self.context["roles"])
