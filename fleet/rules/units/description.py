"""What a unit of a kind may be described by, and what is wrong with a description. Storing it lives in services."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from fleet.rules.units.references import NUMBER_PATTERN
from fleet.rules.units.vin import vin_problems

FACTS = frozenset(
    {
        "number",
        "owner",
        "vin",
        "serial",
        "make",
        "model_year",
        "tire_size",
        "plate",
        "plate_state",
        "home_site_id",
        "in_control_since",
    }
)
"""What every unit has, besides its kind."""

DETAILS: Mapping[str, frozenset[str]] = {
    "tractor": frozenset(
        {
            "steering_wheel_diameter_in",
            "steering_assist",
            "governor_cut_in_psi",
            "governor_cut_out_psi",
            "fuel_tank_gal",
            "gross_rating_lb",
        }
    ),
    "trailer": frozenset({"length_ft", "slider_pins", "floor_drains", "empty_weight_lb"}),
    "cooling_unit": frozenset({"tank_gal", "unusable_gal", "burn_gal_per_h"}),
}
"""What only units of one kind have."""

AXLE_ROLES: Mapping[str, frozenset[str]] = {
    "tractor": frozenset({"steer", "drive"}),
    "trailer": frozenset({"trailer"}),
    "cooling_unit": frozenset(),
}
CHAMBERS: Mapping[str, tuple[str, ...]] = {
    "clamp": ("6", "9", "12", "16", "20", "24", "30", "36"),
    "bolt": ("A", "B", "C", "D", "E", "F", "G"),
    "rotochamber": ("9", "12", "16", "20", "24", "30", "36", "50"),
    "dd_3": ("30",),
    "other": (),
}
"""The types of chamber in the tables of 49 CFR 393.47(e), by the kind of actuator."""

FIRST_MODEL_YEAR = 1980
_STATE = re.compile(r"[A-Z]{2}")
_OWNER = re.compile(r"[^@/]{0,120}")


@dataclass(frozen=True)
class FactProblem:
    """One refused fact: its field, and the code of the rule that it breaks."""

    field: str
    code: str


def fact_problems(kind: str, facts: Mapping[str, object], this_year: int) -> list[FactProblem]:
    """All that is wrong with facts of a unit of this kind; facts that are not given are not looked at."""
    return [*_identity_problems(kind, facts), *_other_problems(facts, this_year)]


def axle_problems(kind: str, axles: Iterable[tuple[int, str]]) -> list[FactProblem]:
    """Return what is wrong with axles given as number and role: they count from 1 without a gap and fit the kind."""
    given = list(axles)
    problems = [
        FactProblem(f"axles/{index}/role", "axle_role_not_of_kind")
        for index, (_, role) in enumerate(given)
        if role not in AXLE_ROLES[kind]
    ]
    if sorted(number for number, _ in given) != list(range(1, len(given) + 1)):
        problems.append(FactProblem("axles", "axle_numbers_with_gap"))
    return problems


def chamber_problems(axles: Iterable[Mapping[str, object]]) -> list[FactProblem]:
    """Return which axles name a type of chamber that their kind of actuator has not."""
    return [
        FactProblem(f"axles/{index}/chamber_type", "axle_chamber_not_of_actuator")
        for index, axle in enumerate(axles)
        if axle.get("chamber_type") and axle["chamber_type"] not in CHAMBERS[str(axle.get("actuator") or "clamp")]
    ]


def _identity_problems(kind: str, facts: Mapping[str, object]) -> Iterable[FactProblem]:
    if "number" in facts and not re.fullmatch(NUMBER_PATTERN, str(facts["number"])):
        yield FactProblem("number", "unit_number_malformed")
    if "owner" in facts and not _OWNER.fullmatch(str(facts["owner"])):
        yield FactProblem("owner", "owner_malformed")
    vin = str(facts.get("vin", ""))
    if vin and kind == "cooling_unit":
        yield FactProblem("vin", "vin_not_of_kind")
    elif vin:
        yield from (FactProblem("vin", f"vin_{problem.code}") for problem in vin_problems(vin))


def _other_problems(facts: Mapping[str, object], this_year: int) -> Iterable[FactProblem]:
    year = facts.get("model_year")
    if isinstance(year, int) and not FIRST_MODEL_YEAR <= year <= this_year + 2:
        yield FactProblem("model_year", "model_year_implausible")
    state = str(facts.get("plate_state", ""))
    if state and not _STATE.fullmatch(state):
        yield FactProblem("plate_state", "state_malformed")
