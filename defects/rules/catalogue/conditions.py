"""The closed vocabulary of `when` clauses and how a clause is matched: yes, no, or not known. Holds no limit."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import Enum

from defects.rules.catalogue.facts import AxleFacts, Conditions, UnitFacts
from defects.rules.catalogue.points import Threshold, When, WhenValue
from defects.rules.vocabulary import AxleRole, UnitKind, WalkKind


class Match(Enum):
    """Whether a clause holds."""

    YES = "yes"
    NO = "no"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Situation:
    """Everything a clause may ask about: the unit, the axle if the place has one, the place and the surroundings."""

    unit: UnitFacts
    conditions: Conditions
    place: str = ""
    axle: AxleFacts | None = None


@dataclass(frozen=True, slots=True)
class Key:
    """One key of the vocabulary: the values a clause may list (None: any of the type), and how it is matched."""

    type: type
    choices: frozenset[str] | None
    match: Callable[[Situation, tuple[WhenValue, ...]], Match]
    of_axle: bool = False


def match(when: When, situation: Situation) -> Match:
    """NO as soon as one key says no; else UNKNOWN if one is not known; else YES. An empty clause always matches."""
    answer = Match.YES
    for key, values in when.items():
        found = KEYS[key].match(situation, values)
        if found is Match.NO:
            return Match.NO
        if found is Match.UNKNOWN:
            answer = Match.UNKNOWN
    return answer


def threshold(share: Threshold, situation: Situation) -> Decimal | None:
    """The limit that a share comes to for this unit and trip, exact; None if its figure is not known."""
    recorded = SHARE_FACTS[share.fact](situation)
    figure = share.otherwise if recorded is None else recorded
    return None if figure is None else figure * share.percent / 100


def _fact(read: Callable[[Situation], WhenValue | None]) -> Callable[[Situation, tuple[WhenValue, ...]], Match]:
    def matches(situation: Situation, values: tuple[WhenValue, ...]) -> Match:
        fact = read(situation)
        if fact is None:
            return Match.UNKNOWN
        return Match.YES if fact in values else Match.NO

    return matches


def _of_axle(read: Callable[[AxleFacts], WhenValue | None]) -> Callable[[Situation, tuple[WhenValue, ...]], Match]:
    def matches(situation: Situation, values: tuple[WhenValue, ...]) -> Match:
        fact = None if situation.axle is None else read(situation.axle)
        if fact is None:
            return Match.UNKNOWN
        return Match.YES if fact in values else Match.NO

    return matches


def _diameter_up_to(situation: Situation, values: tuple[WhenValue, ...]) -> Match:
    diameter = situation.unit.steering_wheel_diameter_in
    if diameter is None:
        return Match.UNKNOWN
    return Match.YES if all(isinstance(value, Decimal) and diameter <= value for value in values) else Match.NO


def _built(*, since: bool) -> Callable[[Situation, tuple[WhenValue, ...]], Match]:
    def matches(situation: Situation, values: tuple[WhenValue, ...]) -> Match:
        (day,) = values
        if not isinstance(day, date):
            return Match.NO
        later = _built_since(situation.unit, day)
        if later is None:
            return Match.UNKNOWN
        return Match.YES if later == since else Match.NO

    return matches


def _built_since(unit: UnitFacts, day: date) -> bool | None:
    """Whether a unit was built on or after a day.

    A model year may begin in the year before, so it decides only when both years lie on one side of the day.
    """
    if unit.built_on is not None:
        return unit.built_on >= day
    if unit.model_year is None or unit.model_year in (day.year, day.year + 1):
        return None
    return unit.model_year > day.year


_AXLE_ROLES = frozenset(str(role) for role in AxleRole)
_ACTUATORS = frozenset({"clamp", "bolt", "rotochamber", "dd_3", "other"})
_CHAMBERS = frozenset({"6", "9", "12", "16", "20", "24", "30", "36", "50", *"ABCDEFG"})

KEYS: Mapping[str, Key] = {
    "place": Key(str, None, _fact(lambda at: at.place)),
    "axle_role": Key(str, _AXLE_ROLES, _of_axle(lambda axle: axle.role), of_axle=True),
    "dual": Key(bool, None, _of_axle(lambda axle: axle.dual), of_axle=True),
    "brake_type": Key(str, frozenset({"drum", "disc"}), _of_axle(lambda axle: axle.brake_type), of_axle=True),
    "actuator": Key(str, _ACTUATORS, _of_axle(lambda axle: axle.actuator), of_axle=True),
    "chamber_type": Key(str, _CHAMBERS, _of_axle(lambda axle: axle.chamber_type), of_axle=True),
    "stroke_class": Key(
        str, frozenset({"standard", "long", "long_3_in"}), _of_axle(lambda axle: axle.stroke_class), of_axle=True
    ),
    "lining": Key(str, frozenset({"one_strip", "two_pads"}), _of_axle(lambda axle: axle.lining), of_axle=True),
    "unit_kind": Key(str, frozenset(str(kind) for kind in UnitKind), _fact(lambda at: at.unit.kind)),
    "wheel_diameter_in": Key(Decimal, None, _fact(lambda at: at.unit.steering_wheel_diameter_in)),
    "wheel_diameter_up_to_in": Key(Decimal, None, _diameter_up_to),
    "steering_assist": Key(str, frozenset({"power", "manual"}), _fact(lambda at: at.unit.steering_assist)),
    "built_from": Key(date, None, _built(since=True)),
    "built_before": Key(date, None, _built(since=False)),
    "night": Key(bool, None, _fact(lambda at: at.conditions.night)),
    "raining": Key(bool, None, _fact(lambda at: at.conditions.raining)),
    "loaded": Key(bool, None, _fact(lambda at: at.conditions.loaded)),
    "cold_load": Key(bool, None, _fact(lambda at: at.conditions.cold_load)),
    "coupled": Key(bool, None, _fact(lambda at: at.conditions.coupled)),
    "walk_kind": Key(str, frozenset(str(kind) for kind in WalkKind), _fact(lambda at: at.conditions.walk_kind)),
}

SHARE_FACTS: Mapping[str, Callable[[Situation], Decimal | None]] = {
    "target_psi": lambda at: None if at.axle is None else at.axle.target_psi,
    "max_psi": lambda at: None if at.axle is None else at.axle.max_psi,
    "load_psi": lambda at: None if at.axle is None else at.axle.load_psi,
    "rated_stroke_in": lambda at: None if at.axle is None else at.axle.rated_stroke_in,
    "marked_limit_in": lambda at: None if at.axle is None else at.axle.marked_limit_in,
    "governor_cut_in_psi": lambda at: at.unit.governor_cut_in_psi,
    "governor_cut_out_psi": lambda at: at.unit.governor_cut_out_psi,
    "tank_gal": lambda at: at.unit.tank_gal,
    "slider_pins": lambda at: at.unit.slider_pins,
    "floor_drains": lambda at: at.unit.floor_drains,
    "fuel_needed_gal": lambda at: at.conditions.fuel_needed_gal,
}
