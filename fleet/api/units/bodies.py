"""Bodies of units of each kind. Weights in pounds, lengths in feet or inches, tanks in gallons."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Annotated

from pydantic import Field

from common.api.bodies import ABSENT, Body
from common.api.values import Choice, Day, DecimalText, Flag, Text, Whole
from fleet.enums import AxleRole, BrakeActuator, BrakeType, Lining, SteeringAssist, StrokeClass, UnitKind
from fleet.models.units import CHAMBER_TYPES
from fleet.rules.units.description import DETAILS, FACTS

SHORT = 2**15 - 1

Small = Annotated[int, Whole(most=SHORT)]
Pounds = Annotated[int, Whole()]
Inches = Annotated[Decimal, DecimalText(4, 3, least=0)]
BrakeInches = Annotated[Decimal, DecimalText(5, 3, least=0)]
Gallons = Annotated[Decimal, DecimalText(6, 1, least=0)]
Name = Annotated[str, Text(24, may_be_blank=True)]


class AxleBody(Body):
    """One axle, numbered from the front of its own unit."""

    number: Annotated[int, Whole(least=1, most=12)]
    role: AxleRole
    dual: Flag
    brake_type: Annotated[str, Choice([*BrakeType, ""])] = ""
    actuator: Annotated[str, Choice([*BrakeActuator, ""])] = Field(
        default="", description="Empty or left out: clamp, the usual one."
    )
    chamber_type: Annotated[str, Choice([*CHAMBER_TYPES, ""])] = ""
    stroke_class: Annotated[str, Choice([*StrokeClass, ""])] = ""
    rated_stroke_in: Inches | None = Field(default=None, description="As marked on it.")
    marked_limit_in: Inches | None = Field(default=None, description="As marked on it.")
    lining: Annotated[str, Choice([*Lining, ""])] = ""
    drum_limit_in: BrakeInches | None = Field(default=None, description="Largest diameter, as marked on the drums.")
    rotor_limit_in: BrakeInches | None = Field(default=None, description="Least thickness, as marked on the rotors.")
    tire_size: Name = ""
    target_psi: Small | None = None
    max_psi: Small | None = None
    load_psi: Small | None = Field(default=None, description="Cold, as specified for the load carried.")
    spacing_in: Small | None = Field(default=None, description="From the axle ahead of it on the unit.")
    tire_rating_lb: Pounds | None = Field(default=None, description="Marked on each tire, single or dual as mounted.")


class UnitBody(Body):
    """What every unit is described by; `home_site` is a site's code."""

    number: Annotated[str, Text(32)]
    owner: Annotated[str, Text(120, may_be_blank=True)] = Field(
        default="", description="Empty or left out for our own."
    )
    serial: Annotated[str, Text(40, may_be_blank=True)] = ""
    make: Annotated[str, Text(60, may_be_blank=True)] = ""
    model_year: Small | None = None
    plate: Annotated[str, Text(16, may_be_blank=True)] = ""
    plate_state: Annotated[str, Text(2, may_be_blank=True)] = ""
    home_site: Annotated[str, Text(24)] | None = None
    in_control_since: Day | None = None

    @property
    def facts(self) -> dict[str, object]:
        """Return what was sent of `rules.units.description.FACTS`, without the site, which is still a code."""
        return {name: value for name, value in self.changes().items() if name in FACTS}

    def details(self, kind: UnitKind) -> dict[str, object]:
        """Return what was sent of the kind's own."""
        return {name: value for name, value in self.changes().items() if name in DETAILS[kind]}

    @property
    def given_axles(self) -> list[Mapping[str, object]] | None:
        """Return the axles, None when they were left out, as they always are of a cooling unit."""
        return None


class RoadUnitBody(UnitBody):
    """What a unit on wheels has besides."""

    vin: Annotated[str, Text(17, may_be_blank=True)] = ""
    tire_size: Name = ""
    axles: Annotated[list[AxleBody], Field(max_length=12)] = ABSENT

    @property
    def given_axles(self) -> list[Mapping[str, object]] | None:
        """Return the axles, None when they were left out."""
        return [axle.changes() for axle in self.axles] if "axles" in self.model_fields_set else None


class TractorBody(RoadUnitBody):
    """A tractor."""

    steering_wheel_diameter_in: Small | None = None
    steering_assist: Annotated[str, Choice([*SteeringAssist, ""])] = ""
    governor_cut_in_psi: Small | None = Field(default=None, description="The lowest that the maker gives.")
    governor_cut_out_psi: Small | None = Field(default=None, description="The highest that the maker gives.")
    fuel_tank_gal: Gallons | None = None
    gross_rating_lb: Pounds | None = None
    fifth_wheel_to_rear_axle_in: Small | None = Field(default=None, description="From where the kingpin locks.")


class TrailerBody(RoadUnitBody):
    """A trailer."""

    length_ft: Small | None = None
    slider_pins: Small | None = None
    floor_drains: Small | None = None
    empty_weight_lb: Pounds | None = None
    kingpin_to_rear_axle_in: Small | None = Field(default=None, description="As the tandem stands now.")
    slider_hole_in: Small | None = Field(default=None, description="From one hole of the slider to the next.")


class CoolingUnitBody(UnitBody):
    """A cooling unit."""

    tank_gal: Gallons | None = None
    unusable_gal: Annotated[Decimal, DecimalText(4, 1, least=0)] = ABSENT
    burn_gal_per_h: Annotated[Decimal, DecimalText(5, 3, least=0)] | None = None


class TractorChange(TractorBody, partial=True):
    """What changes of a tractor."""


class TrailerChange(TrailerBody, partial=True):
    """What changes of a trailer."""


class CoolingUnitChange(CoolingUnitBody, partial=True):
    """What changes of a cooling unit."""


class RetireBody(Body):
    """From when on a unit is out of service for good, and why."""

    retired_on: Day
    reason: Annotated[str, Text(1000, multiline=True)]
