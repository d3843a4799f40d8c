"""Units of each kind, as taken and as given. Weights in pounds, lengths in feet or inches, tanks in gallons."""

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from common.api.fields import DecimalString, FlagField, TextField, WholeField
from common.api.serializers import StrictSerializer
from common.choices import choices
from fleet.api.serializers.names import SiteCode
from fleet.enums import AxleRole, BrakeActuator, BrakeType, Lining, SteeringAssist, StrokeClass, UnitKind
from fleet.models import Unit
from fleet.models.units import CHAMBER_TYPES
from fleet.rules.units.description import DETAILS, FACTS
from fleet.states import unit_state, unit_table

SHORT = 2**15 - 1


class AxleBody(StrictSerializer):
    """One axle, numbered from the front of its own unit."""

    number = WholeField(min_value=1, max_value=12)
    role = serializers.ChoiceField(choices(AxleRole))
    dual = FlagField()
    brake_type = serializers.ChoiceField(choices(BrakeType), required=False, allow_blank=True)
    actuator = serializers.ChoiceField(
        choices(BrakeActuator), required=False, allow_blank=True, help_text="Empty or left out: clamp, the usual one."
    )
    chamber_type = serializers.ChoiceField(CHAMBER_TYPES, required=False, allow_blank=True)
    stroke_class = serializers.ChoiceField(choices(StrokeClass), required=False, allow_blank=True)
    rated_stroke_in = DecimalString(
        max_digits=4, decimal_places=3, min_value=0, required=False, allow_null=True, help_text="As marked on it."
    )
    marked_limit_in = DecimalString(
        max_digits=4, decimal_places=3, min_value=0, required=False, allow_null=True, help_text="As marked on it."
    )
    lining = serializers.ChoiceField(choices(Lining), required=False, allow_blank=True)
    tire_size = TextField(max_length=24, required=False, allow_blank=True)
    target_psi = WholeField(max_value=SHORT, required=False, allow_null=True)
    max_psi = WholeField(max_value=SHORT, required=False, allow_null=True)
    load_psi = WholeField(
        max_value=SHORT, required=False, allow_null=True, help_text="Cold, as specified for the load carried."
    )


class UnitBody(StrictSerializer):
    """What every unit is described by; `home_site` is a site's code."""

    number = TextField(max_length=32)
    owner = TextField(max_length=120, required=False, allow_blank=True, help_text="Empty or left out for our own.")
    serial = TextField(max_length=40, required=False, allow_blank=True)
    make = TextField(max_length=60, required=False, allow_blank=True)
    model_year = WholeField(max_value=SHORT, required=False, allow_null=True)
    plate = TextField(max_length=16, required=False, allow_blank=True)
    plate_state = TextField(max_length=2, required=False, allow_blank=True)
    home_site = TextField(max_length=24, required=False, allow_null=True)
    in_control_since = serializers.DateField(required=False, allow_null=True)

    @property
    def facts(self) -> dict[str, object]:
        """Return what was given of `rules.units.description.FACTS`, without the site, which is still a code."""
        return {name: value for name, value in self.validated_data.items() if name in FACTS}

    def details(self, kind: UnitKind) -> dict[str, object]:
        """Return what was given of the kind's own."""
        return {name: value for name, value in self.validated_data.items() if name in DETAILS[kind]}

    @property
    def given_axles(self) -> list[Mapping[str, object]] | None:
        """Return the axles, None when they were left out."""
        given: list[Mapping[str, object]] | None = self.validated_data.get("axles")
        return given


class VehicleBody(UnitBody):
    """What a unit on wheels has besides."""

    vin = TextField(max_length=17, required=False, allow_blank=True)
    tire_size = TextField(max_length=24, required=False, allow_blank=True)
    axles = serializers.ListField(child=AxleBody(), required=False, max_length=12)


class TractorBody(VehicleBody):
    """A tractor."""

    steering_wheel_diameter_in = WholeField(max_value=SHORT, required=False, allow_null=True)
    steering_assist = serializers.ChoiceField(choices(SteeringAssist), required=False, allow_blank=True)
    governor_cut_in_psi = WholeField(
        max_value=SHORT, required=False, allow_null=True, help_text="The lowest that the maker gives."
    )
    governor_cut_out_psi = WholeField(
        max_value=SHORT, required=False, allow_null=True, help_text="The highest that the maker gives."
    )
    fuel_tank_gal = DecimalString(max_digits=6, decimal_places=1, min_value=0, required=False, allow_null=True)
    gross_rating_lb = WholeField(required=False, allow_null=True)


class TrailerBody(VehicleBody):
    """A trailer."""

    length_ft = WholeField(max_value=SHORT, required=False, allow_null=True)
    slider_pins = WholeField(max_value=SHORT, required=False, allow_null=True)
    floor_drains = WholeField(max_value=SHORT, required=False, allow_null=True)
    empty_weight_lb = WholeField(required=False, allow_null=True)


class CoolingUnitBody(UnitBody):
    """A cooling unit."""

    tank_gal = DecimalString(max_digits=6, decimal_places=1, min_value=0, required=False, allow_null=True)
    unusable_gal = DecimalString(max_digits=4, decimal_places=1, min_value=0, required=False)
    burn_gal_per_h = DecimalString(max_digits=5, decimal_places=3, min_value=0, required=False, allow_null=True)


class RetireBody(StrictSerializer):
    """From when on a unit is out of service for good, and why."""

    retired_on = serializers.DateField()
    reason = TextField(max_length=1000, multiline=True)


class AxleOut(serializers.Serializer[Any]):
    """One axle."""

    number = serializers.IntegerField()
    role = serializers.ChoiceField(choices(AxleRole))
    dual = serializers.BooleanField()
    brake_type = serializers.CharField()
    actuator = serializers.CharField()
    chamber_type = serializers.CharField()
    stroke_class = serializers.CharField()
    rated_stroke_in = serializers.DecimalField(4, 3, allow_null=True)
    marked_limit_in = serializers.DecimalField(4, 3, allow_null=True)
    lining = serializers.CharField()
    tire_size = serializers.CharField()
    target_psi = serializers.IntegerField(allow_null=True)
    max_psi = serializers.IntegerField(allow_null=True)
    load_psi = serializers.IntegerField(allow_null=True)


class AnyUnitOut(serializers.Serializer[Any]):
    """A unit of any kind."""

    id = serializers.UUIDField()
    kind = serializers.ChoiceField(choices(UnitKind))
    number = serializers.CharField()
    owner = serializers.CharField()
    vin = serializers.CharField()
    serial = serializers.CharField()
    make = serializers.CharField()
    model_year = serializers.IntegerField(allow_null=True)
    tire_size = serializers.CharField()
    plate = serializers.CharField()
    plate_state = serializers.CharField()
    home_site = SiteCode(allow_null=True)
    in_control_since = serializers.DateField(allow_null=True)
    retired_on = serializers.DateField(allow_null=True)
    version = serializers.IntegerField()
    allowed_actions = serializers.SerializerMethodField()

    def get_allowed_actions(self, unit: Unit) -> list[str]:
        """Return what the caller may do with the unit now."""
        return unit_table(unit).allowed_actions(unit_state(unit), self.context["roles"])


class TractorOut(AnyUnitOut):
    """A tractor."""

    steering_wheel_diameter_in = serializers.IntegerField(source="tractor.steering_wheel_diameter_in", allow_null=True)
    steering_assist = serializers.CharField(source="tractor.steering_assist")
    governor_cut_in_psi = serializers.IntegerField(source="tractor.governor_cut_in_psi", allow_null=True)
    governor_cut_out_psi = serializers.IntegerField(source="tractor.governor_cut_out_psi", allow_null=True)
    fuel_tank_gal = serializers.DecimalField(6, 1, source="tractor.fuel_tank_gal", allow_null=True)
    gross_rating_lb = serializers.IntegerField(source="tractor.gross_rating_lb", allow_null=True)
    axles = AxleOut(many=True)


class TrailerOut(AnyUnitOut):
    """A trailer."""

    length_ft = serializers.IntegerField(source="trailer.length_ft", allow_null=True)
    slider_pins = serializers.IntegerField(source="trailer.slider_pins", allow_null=True)
    floor_drains = serializers.IntegerField(source="trailer.floor_drains", allow_null=True)
    empty_weight_lb = serializers.IntegerField(source="trailer.empty_weight_lb", allow_null=True)
    axles = AxleOut(many=True)


class CoolingUnitOut(AnyUnitOut):
    """A cooling unit."""

    tank_gal = serializers.DecimalField(6, 1, source="cooling_unit.tank_gal", allow_null=True)
    unusable_gal = serializers.DecimalField(4, 1, source="cooling_unit.unusable_gal")
    burn_gal_per_h = serializers.DecimalField(5, 3, source="cooling_unit.burn_gal_per_h", allow_null=True)
