"""Units as they are shown: of any kind, and of each with what it alone has."""

from datetime import date
from decimal import Decimal
from typing import Annotated, Self
from uuid import UUID

from common.api.answers import Answer
from common.api.values import Word
from fleet.api.requests.references import code_of
from fleet.enums import AxleRole, UnitKind
from fleet.models import Unit
from fleet.rules.units.description import DETAILS
from fleet.selectors.units.lookup import unit_state, unit_table


class AxleAnswer(Answer):
    """One axle."""

    number: int
    role: Annotated[str, Word(AxleRole)]
    dual: bool
    brake_type: str
    actuator: str
    chamber_type: str
    stroke_class: str
    rated_stroke_in: Decimal | None
    marked_limit_in: Decimal | None
    lining: str
    drum_limit_in: Decimal | None
    rotor_limit_in: Decimal | None
    tire_size: str
    target_psi: int | None
    max_psi: int | None
    load_psi: int | None
    spacing_in: int | None
    tire_rating_lb: int | None


class UnitAnswer(Answer):
    """A unit of any kind."""

    id: UUID
    kind: Annotated[str, Word(UnitKind)]
    number: str
    owner: str
    vin: str
    serial: str
    make: str
    model_year: int | None
    tire_size: str
    plate: str
    plate_state: str
    home_site: str | None
    in_control_since: date | None
    retired_on: date | None
    version: int
    allowed_actions: list[str]

    @classmethod
    def for_roles(cls, unit: Unit, roles: frozenset[str], **more: object) -> Self:
        """Return a unit with what somebody of these roles may do with it now."""
        actions = unit_table(unit).allowed_actions(unit_state(unit), roles)
        return cls.of(unit, home_site=code_of(unit.home_site), allowed_actions=actions, **more)

    @classmethod
    def with_details(cls, unit: Unit, roles: frozenset[str]) -> Self:
        """Return a unit of one kind with what that kind alone has."""
        own = getattr(unit, unit.kind)
        details = {name: getattr(own, name) for name in DETAILS[unit.kind]}
        axles = {"axles": list(unit.axles.all())} if "axles" in cls.model_fields else {}
        return cls.for_roles(unit, roles, **details, **axles)


class TractorAnswer(UnitAnswer):
    """A tractor."""

    steering_wheel_diameter_in: int | None
    steering_assist: str
    governor_cut_in_psi: int | None
    governor_cut_out_psi: int | None
    fuel_tank_gal: Decimal | None
    gross_rating_lb: int | None
    fifth_wheel_to_rear_axle_in: int | None
    axles: list[AxleAnswer]


class TrailerAnswer(UnitAnswer):
    """A trailer."""

    length_ft: int | None
    slider_pins: int | None
    floor_drains: int | None
    empty_weight_lb: int | None
    kingpin_to_rear_axle_in: int | None
    slider_hole_in: int | None
    axles: list[AxleAnswer]


class CoolingUnitAnswer(UnitAnswer):
    """A cooling unit."""

    tank_gal: Decimal | None
    unusable_gal: Decimal
    burn_gal_per_h: Decimal | None
