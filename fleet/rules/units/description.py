"""The vehicle identification number of 49 CFR Part 565: its faults. Looks up no vehicle."""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from vininfo import Vin

from fleet.rules.units.references import NUMBER_PATTERN

LENGTH = 17
_CHARACTERS = re.compile(r"[A-HJ-NPR-Z0-9]*")
_MODEL_YEAR_CODES = "ABCDEFGHJKLMNPRSTVWXY123456789"


@dataclass(frozen=True, slots=True)
class VinProblem:
    """A fault: `length`, `characters`, `model_year`, `sequence` or `check_digit`; `section` is of 49 CFR."""

    code: str
    section: str


def vin_problems(vin: str) -> tuple[VinProblem, ...]:
    """What is wrong with a number as it was given, none for a sound one. Small letters are a fault like any other.

    The length and the characters are looked at first; only a number that passes both is looked into further.
    `sequence` is the rule for heavy trucks and trailers: the last four characters are digits.
    """
    outer = []
    if len(vin) != LENGTH:
        outer.append(VinProblem("length", "565.13(b)"))
    if not _CHARACTERS.fullmatch(vin):
        outer.append(VinProblem("characters", "565.13(g)"))
    if outer:
        return tuple(outer)
    inner = []
    if vin[9] not in _MODEL_YEAR_CODES:
        inner.append(VinProblem("model_year", "565.15(d)"))
    if not (vin[13:].isascii() and vin[13:].isdigit()):
        inner.append(VinProblem("sequence", "565.15(d)"))
    if not _check_digit_is_right(vin):
        inner.append(VinProblem("check_digit", "565.15(c)"))
    return tuple(inner)


def _check_digit_is_right(vin: str) -> bool:
    # The library answers "no" for makers that it knows to use no check digit. Those sell no vehicle under Part 565,
    # and a neutral maker's code cannot be put in their place: it is part of the sum.
    return Vin(vin).verify_checksum(check_year=False)


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
            "fifth_wheel_to_rear_axle_in",
        }
    ),
    "trailer": frozenset(
        {
            "length_ft",
            "slider_pins",
            "floor_drains",
            "empty_weight_lb",
            "kingpin_to_rear_axle_in",
            "slider_hole_in",
        }
    ),
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
_KEY = re.compile(r"[0-9a-fA-F]{32}")
"""A key of the service's own, which no number may be taken for."""
_STATE = re.compile(r"[A-Z]{2}")
_OWNER = re.compile(r"[^@/]{0,120}")


@dataclass(frozen=True)
class FactProblem:
    """One refused fact: its field, and the code of the rule that it breaks."""

    field: str
    code: str


def fact_problems(kind: str, facts: Mapping[str, object], today: date) -> list[FactProblem]:
    """All that is wrong with facts of a unit of this kind; facts that are not given are not looked at."""
    return [*_identity_problems(kind, facts), *_other_problems(facts, today)]


def detail_problems(details: Mapping[str, object]) -> list[FactProblem]:
    """All that is wrong with the details of a unit, those that stand beside the ones given included."""
    cut_in, cut_out = details.get("governor_cut_in_psi"), details.get("governor_cut_out_psi")
    problems = []
    if isinstance(cut_in, int) and isinstance(cut_out, int) and cut_in >= cut_out:
        problems.append(FactProblem("governor_cut_in_psi", "governor_cut_in_not_below_cut_out"))
    if details.get("gross_rating_lb") == 0:
        problems.append(FactProblem("gross_rating_lb", "gross_rating_zero"))
    return problems


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
    number = str(facts.get("number", ""))
    if "number" in facts and (_KEY.fullmatch(number) or not re.fullmatch(NUMBER_PATTERN, number)):
        yield FactProblem("number", "unit_number_malformed")
    if "owner" in facts and not _OWNER.fullmatch(str(facts["owner"])):
        yield FactProblem("owner", "owner_malformed")
    vin = str(facts.get("vin", ""))
    if vin and kind == "cooling_unit":
        yield FactProblem("vin", "vin_not_of_kind")
    elif vin:
        yield from (FactProblem("vin", f"vin_{problem.code}") for problem in vin_problems(vin))


def _other_problems(facts: Mapping[str, object], today: date) -> Iterable[FactProblem]:
    year = facts.get("model_year")
    if isinstance(year, int) and not FIRST_MODEL_YEAR <= year <= today.year + 2:
        yield FactProblem("model_year", "model_year_implausible")
    controlled = facts.get("in_control_since")
    if isinstance(controlled, date) and not date(FIRST_MODEL_YEAR, 1, 1) <= controlled <= today:
        yield FactProblem("in_control_since", "in_control_since_implausible")
    state = str(facts.get("plate_state", ""))
    if state and not _STATE.fullmatch(state):
        yield FactProblem("plate_state", "state_malformed")
