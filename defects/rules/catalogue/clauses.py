"""The closed vocabulary of `when` clauses and of shares: which keys there are, and what each may say."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Annotated, Any, Literal, TypeVar

from pydantic import AfterValidator, BeforeValidator, Field, GetPydanticSchema, StrictBool
from typing_extensions import TypedDict

from common.data_files import CLOSED, Day, Exact, Some
from defects.enums import WalkaroundKind
from defects.rules.catalogue.observed import CATALOGUE_WALKS
from fleet.enums import AxleRole, BrakeActuator, BrakeType, Lining, SteeringAssist, StrokeClass, UnitKind

Value = TypeVar("Value")


def _of_the_catalogue(kind: WalkaroundKind) -> WalkaroundKind:
    if kind not in CATALOGUE_WALKS:
        raise ValueError(f"is none of {', '.join(CATALOGUE_WALKS)}")
    return kind


AnyOf = Annotated[
    tuple[Value, ...], Some, BeforeValidator(lambda given: given if isinstance(given, list | tuple) else [given])
]
"""One value or a list of them: the clause holds where the fact is any of them."""
CatalogueWalk = Annotated[WalkaroundKind, AfterValidator(_of_the_catalogue)]
OneDay = Annotated[AnyOf[Day], Field(max_length=1)]


class AxleClause(TypedDict, total=False):
    """What a clause may ask of the axle that a place lies on."""

    axle_role: AnyOf[AxleRole]
    dual: AnyOf[StrictBool]
    brake_type: AnyOf[BrakeType]
    actuator: AnyOf[BrakeActuator]
    chamber_type: AnyOf[Literal["6", "9", "12", "16", "20", "24", "30", "36", "50", "A", "B", "C", "D", "E", "F", "G"]]
    stroke_class: AnyOf[StrokeClass]
    lining: AnyOf[Lining]


class Clause(AxleClause, total=False):
    """What a clause may ask of the place, its axle, the unit, and the surroundings."""

    __pydantic_config__ = CLOSED  # type: ignore[misc]  # where pydantic looks for the settings of a TypedDict

    place: AnyOf[str]
    unit_kind: AnyOf[UnitKind]
    wheel_diameter_in: AnyOf[Exact]
    wheel_diameter_up_to_in: AnyOf[Exact]
    steering_assist: AnyOf[SteeringAssist]
    built_from: OneDay
    built_before: OneDay
    night: AnyOf[StrictBool]
    raining: AnyOf[StrictBool]
    loaded: AnyOf[StrictBool]
    cold_load: AnyOf[StrictBool]
    coupled: AnyOf[StrictBool]
    walk_kind: AnyOf[CatalogueWalk]


def _as_clause(_: Any, schema_of: Any) -> Any:
    return schema_of(Clause)


WhenValue = str | bool | Decimal | date
When = Annotated[Mapping[str, tuple[WhenValue, ...]], GetPydanticSchema(_as_clause)]
"""A `Clause`, read key by key: every key must match one of its values."""

AXLE_KEYS = frozenset(AxleClause.__annotations__)
"""The keys that ask for an axle."""

ShareFact = Literal[
    "target_psi",
    "max_psi",
    "load_psi",
    "load_psi_after_a_run",
    "rated_stroke_in",
    "marked_limit_in",
    "drum_limit_in",
    "rotor_limit_in",
    "governor_cut_in_psi",
    "governor_cut_out_psi",
    "tank_gal",
    "slider_pins",
    "floor_drains",
    "fuel_needed_gal",
    "ordered_setpoint_f",
    "ordered_lowest_f",
    "ordered_highest_f",
    "least_air_drop_f",
]
"""The figures of the unit, its axle or the trip that a limit may be a share of."""
