"""Whether the cold will hold: fuel to arrival, a box brought down in time."""

from datetime import datetime, timedelta
from fractions import Fraction
from math import ceil, floor

from common.measures import number
from defects.rules.clearance.answer import Facts
from defects.rules.clearance.clearance_request import ClearanceRequest, utc
from defects.rules.clearance.codes import Code, EndsWhen
from defects.rules.clearance.draft_answer import DraftAnswer
from defects.rules.clearance.unit_facts import FuelFact, UnitFacts
from fleet.enums import UnitKind

WARM_F = 2
"""Our own: how far above its setpoint a box counts as brought down; nearer than that the unit is throttled."""

_MICROSECOND = timedelta(microseconds=1)
_HOUR = timedelta(hours=1)


def judge_fuel(unit: UnitFacts, clearance_request: ClearanceRequest, draft: DraftAnswer) -> None:
    """A cooling unit's fuel must last to arrival and leave the carrier's reserve; asked of trips with cold freight.

    Every hour counts as an engine hour, the most they can be: one that starts and stops burns less, and is told so.

    What it burns is learned from its readings, by the upper prediction bound; before there are enough of them, the
    recorded rate counts.
    """
    if unit.kind is not UnitKind.COOLING_UNIT or not clearance_request.cold or not clearance_request.has_trip:
        return
    fuel = unit.fuel
    if fuel is None or fuel.level_gal is None or not fuel.is_burn_known or _overfull(fuel):
        draft.not_known(Code.FUEL_UNKNOWN, unit.ref, EndsWhen.FACT_RECORDED)
        return
    reserve = Fraction(clearance_request.policy.fuel_reserve_gal) + Fraction(fuel.unusable_gal)
    at = utc(fuel.at)
    before_leaving = max(clearance_request.leave - at, timedelta(0)) if fuel.running else timedelta(0)
    hours = _hours(before_leaving + clearance_request.duration)
    usable = Fraction(fuel.level_gal) - reserve
    spare = usable - fuel.burned(hours)
    if spare < 0:
        left = max(Fraction(fuel.level_gal) - fuel.burned(_hours(before_leaving)), Fraction())
        short = min(-spare, reserve + fuel.burned(_hours(clearance_request.duration)))  # empty at worst
        _ask_for_fuel(unit.ref, fuel, ceil(short), clearance_request.policy.fuel_reserve_gal, draft, left=left)
    elif fuel.running and (lasts := fuel.lasts(usable)) is not None:
        _note_when_fuel_falls_short(unit.ref, max(clearance_request.leave, at), lasts - hours, draft)


def judge_pre_cooling(unit: UnitFacts, clearance_request: ClearanceRequest, draft: DraftAnswer) -> None:
    """A box that is warmer than a cold load ordered, before it is loaded: when to begin, as far as that is learned.

    A box that was read warm counts as warm until a reading says otherwise.
    """
    load, air = clearance_request.load, unit.air
    if load is None or not clearance_request.cold or clearance_request.pre_loaded or load.setpoint_f is None:
        return
    if air is None or air.air_f <= load.setpoint_f + WARM_F:
        return
    facts: Facts = (("air_f", number(air.air_f)), ("target_f", number(load.setpoint_f)))
    target = float(load.setpoint_f + WARM_F)
    hours = None if air.pull_down is None else air.pull_down.hours(float(air.air_f), target)
    if hours is not None:
        length = timedelta(seconds=ceil(hours * 3600))
        start = clearance_request.leave - length
        late = start < clearance_request.as_of
        facts += (("cold_at", clearance_request.as_of + length),) if late else (("start_at", start),)
        facts += _learned_until(air.learned_until)
    draft.step(Code.PRE_COOL, unit.ref, EndsWhen.READING_RECORDED, facts, since=utc(air.at))


def _overfull(fuel: FuelFact) -> bool:
    """More than the tank holds is a slip of the pen, and no level."""
    return fuel.tank_gal is not None and fuel.level_gal is not None and fuel.level_gal > fuel.tank_gal


def _ask_for_fuel(unit: str, fuel: FuelFact, gallons: int, reserve: int, draft: DraftAnswer, *, left: Fraction) -> None:
    """Ask for gallons beside those `left` in the tank when leaving."""
    full = fuel.tank_gal is not None and left + gallons > fuel.tank_gal
    facts: Facts = (("add_gal", gallons), ("reserve_gal", reserve), ("more_than_the_tank_holds", full))
    usable = max(left - Fraction(fuel.unusable_gal), Fraction())
    if fuel.learned is not None:
        facts += (("lasts_h", floor(fuel.lasts(usable) or 0)), *_learned_until(fuel.learned_until))
    draft.step(Code.FUEL_TO_ADD, unit, EndsWhen.FUEL_ADDED, facts, since=fuel.at)


def _learned_until(newest: datetime | None) -> Facts:
    return () if newest is None else (("learned_until", newest),)


def _note_when_fuel_falls_short(unit: str, burning_from: datetime, hours: Fraction, draft: DraftAnswer) -> None:
    """The first microsecond at which the spare hours are used up by waiting."""
    microseconds = int(hours * (_HOUR // _MICROSECOND)) + 1
    try:
        leave_by = burning_from + timedelta(microseconds=microseconds)
    except OverflowError:  # a burn so small that the tank outlasts the calendar
        return
    draft.ends(leave_by, Code.FUEL_TO_ADD, unit, ())


def _hours(duration: timedelta) -> Fraction:
    return Fraction(duration // _MICROSECOND, _HOUR // _MICROSECOND)
