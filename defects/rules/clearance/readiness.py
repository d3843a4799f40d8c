"""What the driver must still do before driving a unit: the walk, the review, fuel for the cold."""

from datetime import datetime, timedelta
from fractions import Fraction
from math import ceil

from defects.rules.clearance.answer import Facts
from defects.rules.clearance.clearance_request import ClearanceRequest, utc
from defects.rules.clearance.codes import Code, EndsWhen
from defects.rules.clearance.findings import Findings
from defects.rules.clearance.unit_facts import FuelFact, UnitFacts
from fleet.enums import UnitKind

_MICROSECOND = timedelta(microseconds=1)
_HOUR = timedelta(hours=1)


def judge_walk(unit: UnitFacts, clearance_request: ClearanceRequest, findings: Findings) -> None:
    """The driver who is to drive must have walked the unit, not longer ago than the carrier's policy says."""
    if unit.walk is None:
        findings.step(Code.WALK_DUE, unit.ref, EndsWhen.WALK_DONE, (("why", "never_walked"),))
        return
    walked_at = utc(unit.walk.at)
    walked: Facts = (("walked_at", walked_at),)
    due = walked_at + clearance_request.policy.walk_valid_for
    if clearance_request.driver and clearance_request.driver not in {unit.walk.by, unit.walk.team_mate}:
        findings.step(Code.WALK_DUE, unit.ref, EndsWhen.WALK_DONE, (("why", "another_driver"), *walked))
    elif clearance_request.leave >= due:
        findings.step(Code.WALK_DUE, unit.ref, EndsWhen.WALK_DONE, (("why", "too_long_ago"), *walked), since=due)
    else:
        findings.ends(due, Code.WALK_DUE, unit.ref, walked)


def judge_reviews(unit: UnitFacts, findings: Findings) -> None:
    """Reports and certificates since the last review are to be seen and signed for, in one step for the unit."""
    instants = [report.at for report in unit.reports_to_review] + [due.at for due in unit.certificates_to_review]
    if instants:
        facts: Facts = (
            ("reports", tuple(sorted(report.number for report in unit.reports_to_review))),
            ("certificates", tuple(sorted(certificate.number for certificate in unit.certificates_to_review))),
        )
        since = min(instants)
        findings.step(Code.REVIEW_NOT_SIGNED, unit.ref, EndsWhen.REVIEW_SIGNED, facts, since=since)


def judge_fuel(unit: UnitFacts, clearance_request: ClearanceRequest, findings: Findings) -> None:
    """A cooling unit's fuel must last to arrival and leave the carrier's reserve; asked of trips with cold freight."""
    if unit.kind is not UnitKind.COOLING_UNIT or not clearance_request.cold or not clearance_request.has_trip:
        return
    fuel = unit.fuel
    if fuel is None or fuel.level_gal is None or fuel.burn_gal_per_h is None or _overfull(fuel):
        findings.not_known(Code.FUEL_UNKNOWN, unit.ref, EndsWhen.FACT_RECORDED)
        return
    level, burn = Fraction(fuel.level_gal), Fraction(fuel.burn_gal_per_h)
    reserve = Fraction(clearance_request.policy.fuel_reserve_gal) + Fraction(fuel.unusable_gal)
    at = utc(fuel.at)
    before_leaving = max(clearance_request.leave - at, timedelta(0)) if fuel.running else timedelta(0)
    spare = level - reserve - burn * _hours(before_leaving + clearance_request.duration)
    if spare < 0:
        _ask_for_fuel(unit.ref, fuel, ceil(-spare), clearance_request.policy.fuel_reserve_gal, findings)
    elif fuel.running and burn > 0:
        _note_when_fuel_falls_short(unit.ref, max(clearance_request.leave, at), spare / burn, findings)


def _overfull(fuel: FuelFact) -> bool:
    """More than the tank holds is a slip of the pen, and no level."""
    return fuel.tank_gal is not None and fuel.level_gal is not None and fuel.level_gal > fuel.tank_gal


def _ask_for_fuel(unit: str, fuel: FuelFact, gallons: int, reserve: int, findings: Findings) -> None:
    full = fuel.tank_gal is not None and fuel.level_gal is not None and fuel.level_gal + gallons > fuel.tank_gal
    facts = (("add_gal", gallons), ("reserve_gal", reserve), ("more_than_the_tank_holds", full))
    findings.step(Code.FUEL_TO_ADD, unit, EndsWhen.FUEL_ADDED, facts, since=fuel.at)


def _note_when_fuel_falls_short(unit: str, burning_from: datetime, hours: Fraction, findings: Findings) -> None:
    """The first microsecond at which the spare hours are used up by waiting."""
    microseconds = int(hours * (_HOUR // _MICROSECOND)) + 1
    try:
        leave_by = burning_from + timedelta(microseconds=microseconds)
    except OverflowError:  # a burn so small that the tank outlasts the calendar
        return
    findings.ends(leave_by, Code.FUEL_TO_ADD, unit, ())


def _hours(duration: timedelta) -> Fraction:
    return Fraction(duration // _MICROSECOND, _HOUR // _MICROSECOND)
