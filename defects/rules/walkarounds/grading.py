"""Whether an answer says enough to be used, and how severe what it reports is in its situation.

A grade is the verdict of a finding; it flags CONDITION_UNKNOWN where a fact that decides it is not known.
"""

from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal

from defects.enums import Authority, Bars, Listing, NotReached, Outcome, Severity, bars_rank, default_bars, rank, worst
from defects.rules.catalogue.closed_sets import Basis, RuleKind, Who
from defects.rules.catalogue.conditions import Match, Situation, match
from defects.rules.catalogue.limits import Compared
from defects.rules.catalogue.points import Finding, Limit, Measure, Point, Raise
from defects.rules.walkarounds.body import CheckBody
from defects.rules.walkarounds.verdicts import Flag, FlagCode, ObserverOf, Verdict
from fleet.enums import AxleRole


def usable_value(
    point: Point, value: Decimal | None, unit_of_measure: str | None
) -> tuple[Decimal | None, Flag | None]:
    """The value if it can be compared, else None and why not; (None, None) where none was given."""
    if value is None:
        return None, Flag(FlagCode.VALUE_MISSING) if unit_of_measure else None
    flag = _value_flag(point.measure, value, unit_of_measure)
    return (value, None) if flag is None else (None, flag)


def _value_flag(measure: Measure | None, value: Decimal, unit_of_measure: str | None) -> Flag | None:
    if measure is None:
        return Flag(FlagCode.VALUE_NOT_ASKED, {"value": str(value)})
    if not unit_of_measure:
        return Flag(FlagCode.UNIT_MISSING, {"expected": measure.unit_of_measure})
    if unit_of_measure != measure.unit_of_measure:
        return Flag(FlagCode.UNIT_WRONG, {"given": unit_of_measure, "expected": measure.unit_of_measure})
    if not value.is_finite() or not measure.minimum <= value <= measure.maximum:
        facts = {"value": str(value), "minimum": str(measure.minimum), "maximum": str(measure.maximum)}
        return Flag(FlagCode.VALUE_IMPLAUSIBLE, facts)
    return None


def may_pass(point: Point, observer_of: ObserverOf) -> bool:
    """Whether this person's word that all is well counts at this point. A fault anybody may report."""
    if point.who is not Who.MECHANIC:
        return True
    observer = observer_of(point)
    return observer.qualified or (point.for_trained_drivers and observer.trained)


def correction_flag(point: Point, check: CheckBody) -> Flag | None:
    """Why a fault cannot count as put right on the spot, or None."""
    if not point.correctable:
        return Flag(FlagCode.NOT_CORRECTABLE_ON_THE_SPOT)
    done = check.correction
    given = {} if done is None else {"what": done.what, "by": done.by, "photo_hash": done.photo}
    missing = [name for name in ("what", "by", "photo_hash") if not given.get(name)]
    return Flag(FlagCode.CORRECTION_INCOMPLETE, {"missing": ", ".join(missing)}) if missing else None


def reason_flag(point: Point, check: CheckBody) -> Flag | None:
    """Why "not reached" is no answer here, or None.

    A seal explains only what lies behind it, and a missing helper only what needs one.
    """
    reason = check.reason
    if not reason:
        return Flag(FlagCode.REASON_MISSING)
    if reason not in list(NotReached):
        return Flag(FlagCode.REASON_DOES_NOT_FIT, {"reason": reason})
    sealed = reason == NotReached.SEALED and not point.behind_seal
    helper = reason == NotReached.NO_HELPER and point.who is not Who.DRIVER_WITH_HELPER
    return Flag(FlagCode.REASON_DOES_NOT_FIT, {"reason": reason}) if sealed or helper else None


def grade_limit(point: Point, compared: Compared, situation: Situation) -> Verdict:
    """The grade of a limit that a value failed."""
    return _grade(point, compared.limit, situation, limit_value=compared.figure)


def grade_finding(point: Point, finding: Finding, situation: Situation) -> Verdict:
    """The grade of a condition a person reported."""
    return grade_here(point, finding, situation)


def grade_here(point: Point, rule: Limit | Finding, situation: Situation) -> Verdict:
    """The grade that failing the limit, or reporting the condition, will have in its situation."""
    return _grade(point, rule, situation, limit_value=None)


def grade_everywhere(rule: Limit | Finding) -> tuple[Severity, Bars]:
    """Severity and bars wherever it is found: what is raised without a clause, as by the carrier's rule, is in it."""
    always = [step.severity for step in rule.raised if not step.when]
    severity = worst([rule.severity, *always]) or rule.severity
    return severity, _bars(rule, severity)


def strongest(grades: Iterable[Verdict]) -> Verdict:
    """The worst of them, first by severity, then by what it bars; it carries the worst regulation grade of all.

    It is listed if one of them is, and sure if all are. Ties go to the regulation, then to the first. ValueError of
    none.
    """
    found = list(grades)
    top = max(found, key=lambda grade: (*gravity(grade), grade.regulation_severity is not None))
    return replace(
        top,
        regulation_severity=worst(grade.regulation_severity for grade in found if grade.regulation_severity),
        counts_as_service_brake=any(grade.counts_as_service_brake for grade in found),
        on_steering_axle=any(grade.on_steering_axle for grade in found),
        listing=next((grade.listing for grade in (top, *found) if grade.listing is not Listing.NOTED), Listing.NOTED),
        flags=next((grade.flags for grade in found if grade.flags), ()),
    )


def gravity(grade: Verdict) -> tuple[int, int]:
    """How grave a finding is, to be compared: its severity, then what it bars. ValueError for what is no finding."""
    return rank(grade.graded), bars_rank(grade.bars)


def _grade(point: Point, rule: Limit | Finding, situation: Situation, *, limit_value: Decimal | None) -> Verdict:
    severity, sure = _raised(rule.severity, rule.raised, situation)
    regulation = None
    if rule.kind is RuleKind.REGULATION:
        regulation, _ = _raised(rule.severity, (step for step in rule.raised if _of_regulation(step)), situation)
    code = rule.id if isinstance(rule, Limit) else rule.code
    counts = rule.counts_as_service_brake
    return Verdict(
        outcome=Outcome.FINDING,
        rule_id=f"{point.name}#{code}",
        point=point,
        severity=severity,
        bars=_bars(rule, severity),
        regulation_severity=regulation,
        source=rule.source,
        counts_as_service_brake=counts,
        on_steering_axle=counts and situation.axle is not None and situation.axle.role == AxleRole.STEER,
        listing=listing_of(point, rule, severity),
        finding=None if isinstance(rule, Limit) else code,
        limit_id=code if isinstance(rule, Limit) else None,
        limit_value=limit_value,
        flags=() if sure else (Flag(FlagCode.CONDITION_UNKNOWN),),
    )


def listing_of(point: Point, rule: Limit | Finding, severity: Severity) -> Listing:
    """Whether 396.11(a)(2)(i) wants a finding of that grade listed, and why; else it is noted for the shop.

    Whatever keeps the unit from being used is listed, and what rests on a regulation of the vehicle. Of the rest, the
    catalogue says whether it would affect the safety of operation or result in a breakdown.
    """
    stated = rule.listing
    if rank(severity) >= rank(Severity.BEFORE_NEXT_USE):
        return Listing.SAFETY if stated in (None, Listing.NOTED) else stated
    if stated is not None:
        return stated
    if point.authority is Authority.CARRIER or severity is Severity.WATCH:
        return Listing.NOTED
    return Listing.REGULATION if rule.kind is RuleKind.REGULATION else Listing.SAFETY


def _bars(rule: Limit | Finding, severity: Severity) -> Bars:
    return default_bars(severity) if severity is not rule.severity and rule.bars is Bars.NOTHING else rule.bars


def _raised(severity: Severity, steps: Iterable[Raise], situation: Situation) -> tuple[Severity, bool]:
    """The grade after every step whose clause holds; a clause that is not known raises too, and is not sure."""
    sure = True
    for step in steps:
        answer = match(step.when, situation)
        if answer is Match.NO or rank(step.severity) <= rank(severity):
            continue
        severity = step.severity
        sure = sure and answer is Match.YES
    return severity, sure


def _of_regulation(step: Raise) -> bool:
    return step.source is None or step.source.basis in (Basis.READ, Basis.MEMORY)
