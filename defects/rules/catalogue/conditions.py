"""How a `when` clause is matched: yes, no, or not known; and the figure that a share comes to. Holds no limit."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import Enum

from defects.rules.catalogue.clauses import When, WhenValue
from defects.rules.catalogue.observed import AxleFacts, Conditions, UnitFacts
from defects.rules.catalogue.points import Threshold


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


Matcher = Callable[[Situation, tuple[WhenValue, ...]], Match]


def match(when: When, situation: Situation) -> Match:
    """NO as soon as one key says no; else UNKNOWN if one is not known; else YES. An empty clause always matches."""
    answer = Match.YES
    for key, values in when.items():
        found = MATCHERS[key](situation, values)
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


def _fact(read: Callable[[Situation], WhenValue | None]) -> Matcher:
    def matches(situation: Situation, values: tuple[WhenValue, ...]) -> Match:
        fact = read(situation)
        if fact is None:
            return Match.UNKNOWN
        return Match.YES if fact in values else Match.NO

    return matches


def _of_axle(read: Callable[[AxleFacts], WhenValue | None]) -> Matcher:
    return _fact(lambda at: None if at.axle is None else read(at.axle))


def _diameter_up_to(situation: Situation, values: tuple[WhenValue, ...]) -> Match:
    diameter = situation.unit.steering_wheel_diameter_in
    if diameter is None:
        return Match.UNKNOWN
    return Match.YES if all(isinstance(value, Decimal) and diameter <= value for value in values) else Match.NO


def _built(*, since: bool) -> Matcher:
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


MATCHERS: Mapping[str, Matcher] = {
    "place": _fact(lambda at: at.place),
    "axle_role": _of_axle(lambda axle: axle.role),
    "dual": _of_axle(lambda axle: axle.dual),
    "brake_type": _of_axle(lambda axle: axle.brake_type),
    "actuator": _of_axle(lambda axle: axle.actuator),
    "chamber_type": _of_axle(lambda axle: axle.chamber_type),
    "stroke_class": _of_axle(lambda axle: axle.stroke_class),
    "lining": _of_axle(lambda axle: axle.lining),
    "unit_kind": _fact(lambda at: at.unit.kind),
    "wheel_diameter_in": _fact(lambda at: at.unit.steering_wheel_diameter_in),
    "wheel_diameter_up_to_in": _diameter_up_to,
    "steering_assist": _fact(lambda at: at.unit.steering_assist),
    "built_from": _built(since=True),
    "built_before": _built(since=False),
    "night": _fact(lambda at: at.conditions.night),
    "raining": _fact(lambda at: at.conditions.raining),
    "loaded": _fact(lambda at: at.conditions.loaded),
    "cold_load": _fact(lambda at: at.conditions.cold_load),
    "coupled": _fact(lambda at: at.conditions.coupled),
    "walk_kind": _fact(lambda at: at.conditions.walk_kind),
}

SMALL_TIRE_LB, SMALL_TIRE_HEAT_PSI, HEAT_PSI = Decimal(4000), 5, 15
"""What a run adds to the pressure at least, by 49 CFR 393.75(i)(2), Table 1, text read: an hour at 41 to 55 mph."""


def _load_psi_after_a_run(at: Situation) -> Decimal | None:
    """What a tire that has just run must show, so that it holds the pressure for the load once it is cold."""
    if at.axle is None or at.axle.load_psi is None or at.axle.tire_rating_lb is None:
        return None
    return at.axle.load_psi + (SMALL_TIRE_HEAT_PSI if at.axle.tire_rating_lb <= SMALL_TIRE_LB else HEAT_PSI)


SHARE_FACTS: Mapping[str, Callable[[Situation], Decimal | None]] = {
    "target_psi": lambda at: None if at.axle is None else at.axle.target_psi,
    "max_psi": lambda at: None if at.axle is None else at.axle.max_psi,
    "load_psi": lambda at: None if at.axle is None else at.axle.load_psi,
    "load_psi_after_a_run": _load_psi_after_a_run,
    "rated_stroke_in": lambda at: None if at.axle is None else at.axle.rated_stroke_in,
    "marked_limit_in": lambda at: None if at.axle is None else at.axle.marked_limit_in,
    "drum_limit_in": lambda at: None if at.axle is None else at.axle.drum_limit_in,
    "rotor_limit_in": lambda at: None if at.axle is None else at.axle.rotor_limit_in,
    "governor_cut_in_psi": lambda at: at.unit.governor_cut_in_psi,
    "governor_cut_out_psi": lambda at: at.unit.governor_cut_out_psi,
    "tank_gal": lambda at: at.unit.tank_gal,
    "slider_pins": lambda at: at.unit.slider_pins,
    "floor_drains": lambda at: at.unit.floor_drains,
    "fuel_needed_gal": lambda at: at.conditions.fuel_needed_gal,
    "ordered_setpoint_f": lambda at: at.unit.ordered_setpoint_f,
    "ordered_lowest_f": lambda at: at.unit.ordered_lowest_f,
    "ordered_highest_f": lambda at: at.unit.ordered_highest_f,
    "least_air_drop_f": lambda at: at.unit.least_air_drop_f,
}
