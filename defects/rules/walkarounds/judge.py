"""Judging one answer to one point. Pure: everything it needs to know is handed in, nothing is looked up."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from defects.enums import CheckAnswer, Listing, Outcome, Severity, is_worse
from defects.rules.catalogue.conditions import Match, Situation, match
from defects.rules.catalogue.limits import Comparison, compare
from defects.rules.catalogue.observed import UnitFacts
from defects.rules.catalogue.places import axle_of, is_place_of
from defects.rules.catalogue.points import Point
from defects.rules.walkarounds.body import CheckBody
from defects.rules.walkarounds.grading import (
    correction_flag,
    grade_finding,
    grade_limit,
    may_pass,
    reason_flag,
    strongest,
    usable_value,
)
from defects.rules.walkarounds.verdicts import Circumstances, Flag, FlagCode, Verdict


def judge_check(check: CheckBody, unit: UnitFacts, under: Circumstances) -> Verdict:
    """Judge one answer as of a day, which picks the limits in force; raises nothing, so no report is lost to a rule.

    An answer the rules cannot place, or that does not say enough, is flagged and never fine. A value past a limit is a
    finding whatever the driver called it. Nothing here makes a worse report milder.
    """
    point = under.point(check.point)
    if point is None:
        verdict = _flagged(check, None, Flag(FlagCode.POINT_UNKNOWN, {"point": check.point}))
    else:
        verdict = _placed(_case_of(point, check, unit, under))
    if check.value and check.number is None:
        verdict = _unreadable(verdict, check.value)
    if check.heard_from:
        verdict = _on_anothers_word(verdict, check.heard_from)
    return verdict if under.time_known else _at_unknown_time(verdict)


@dataclass(frozen=True, slots=True)
class _Case:
    """One answer with everything that is worked out about it before it is judged."""

    point: Point
    check: CheckBody
    under: Circumstances
    situation: Situation
    value: Decimal | None
    comparison: Comparison | None
    flags: tuple[Flag, ...]

    @property
    def applies(self) -> Match:
        """Whether the point applies to the unit under these conditions."""
        return match(self.point.applies_when, self.situation)

    @property
    def failures(self) -> list[Verdict]:
        """The limits that the value fails, graded."""
        failed = () if self.comparison is None else self.comparison.failed
        return [grade_limit(self.point, compared, self.situation) for compared in failed]

    @property
    def limit_flag(self) -> tuple[Flag, ...]:
        """That it is not known which limit holds, if so."""
        return (Flag(FlagCode.LIMIT_UNKNOWN),) if self.comparison is not None and self.comparison.unknown else ()


def _case_of(point: Point, check: CheckBody, unit: UnitFacts, under: Circumstances) -> _Case:
    situation = Situation(unit, under.conditions, check.place, axle_of(check.place, point, unit))
    value, flag = usable_value(point, check.number, check.unit_of_measure)
    comparison = None if value is None else compare(point, value, situation, under.on)
    return _Case(point, check, under, situation, value, comparison, () if flag is None else (flag,))


def _placed(case: _Case) -> Verdict:
    wrong = _misplaced(case)
    if wrong is None:
        return _judge(case)
    would_be = _judge(case)
    if would_be.outcome is not Outcome.FINDING:
        return _flagged(case.check, case.point, wrong)
    return replace(would_be, outcome=Outcome.FLAGGED, accepted_value=None, flags=(wrong, *would_be.flags))


def _misplaced(case: _Case) -> Flag | None:
    """Why the point or the place is none of this unit's, or None."""
    point, check, unit = case.point, case.check, case.situation.unit
    if point.retired_on is not None and case.under.on >= point.retired_on:
        return Flag(FlagCode.POINT_RETIRED, {"retired_on": point.retired_on.isoformat()})
    if unit.kind not in point.unit_kinds:
        return Flag(FlagCode.POINT_NOT_FOR_UNIT_KIND, {"unit_kind": unit.kind})
    if not is_place_of(check.place, point, unit):
        return Flag(FlagCode.PLACE_UNKNOWN, {"place": check.place}) if check.place else Flag(FlagCode.PLACE_MISSING)
    return None


def _needs_value(case: _Case) -> bool:
    """Whether a value is missing without which nothing was answered; one that is flagged already is not missing."""
    measure = case.point.measure
    return measure is not None and measure.required and case.value is None and not case.flags


def _named_grades(case: _Case) -> tuple[list[Verdict], list[Flag]]:
    """The named condition graded; the point's default without a name; the worst of all if the name is unknown.

    What was told in words alone is graded and goes by these words; the default is meant only where there are none.
    """
    code = case.check.finding
    if not code:
        default = grade_finding(case.point, case.point.default_finding, case.situation)
        return [replace(default, finding=None) if case.check.note else default], []
    finding = case.point.finding(code)
    if finding is not None:
        return [grade_finding(case.point, finding, case.situation)], []
    every = [grade_finding(case.point, known, case.situation) for known in case.point.findings]
    return [replace(strongest(every), finding=None)], [Flag(FlagCode.FINDING_UNKNOWN, {"finding": code})]


def _judge(case: _Case) -> Verdict:
    judged = _JUDGES.get(case.check.answer)
    if judged is None:
        return _with_report(case, Flag(FlagCode.ANSWER_UNKNOWN, {"answer": str(case.check.answer)}))
    return judged(case)


def _fine(case: _Case) -> Verdict:
    reported = _reported(case)
    if reported is not None:
        return reported
    flags = [*case.flags, *case.limit_flag]
    if case.applies is Match.NO:
        flags.append(Flag(FlagCode.DOES_NOT_APPLY))
    if _needs_value(case):
        flags.append(Flag(FlagCode.VALUE_MISSING))
    if not may_pass(case.point, case.under.observer_of):
        flags.append(Flag(FlagCode.NEEDS_QUALIFIED_PERSON))
    return _passed(case, Outcome.FINE, "fine", flags)


def _defect(case: _Case) -> Verdict:
    """A reported defect is a finding even if its value is unusable or within limits: the driver saw something.

    Without a name, a value that fails a limit says what was meant; any other leaves the point's default grade.
    """
    flags = [*case.flags, *case.limit_flag]
    grades = case.failures
    named = case.check.finding
    if named or not grades:
        finding, unknown = _named_grades(case)
        grades.extend(finding)
        flags.extend(unknown)
    if not named and case.value is not None and not case.failures and not case.limit_flag:
        flags.append(Flag(FlagCode.VALUE_WITHIN_LIMITS, {"value": str(case.value)}))
    if not named and _needs_value(case):
        flags.append(Flag(FlagCode.VALUE_MISSING))
    if case.applies is Match.NO:
        flags.append(Flag(FlagCode.DOES_NOT_APPLY))
    return _found(case, grades, flags)


def _corrected(case: _Case) -> Verdict:
    """Put right on the spot: no defect, unless the value afterwards still fails or the proof is missing."""
    flags = [*case.flags, *case.limit_flag]
    grades = case.failures
    if grades:
        flags.append(Flag(FlagCode.CORRECTION_STILL_FAILS, {"value": str(case.value)}))
    refused = correction_flag(case.point, case.check)
    if refused is not None:
        finding, unknown = _named_grades(case)
        grades.extend(finding)
        flags.extend([*unknown, refused])
    if grades:
        return _found(case, grades, flags)
    if case.check.finding and case.point.finding(case.check.finding) is None:
        flags.append(Flag(FlagCode.FINDING_UNKNOWN, {"finding": case.check.finding}))
    if _needs_value(case):
        flags.append(Flag(FlagCode.VALUE_MISSING))
    return _passed(case, Outcome.CORRECTED, "corrected", flags)


def _not_applicable(case: _Case) -> Verdict:
    reported = _reported(case)
    if reported is not None:
        return reported
    flags = list(case.flags)
    if case.applies is Match.YES and not case.point.optional:
        flags.append(Flag(FlagCode.APPLIES_TO_THIS_UNIT))
    if case.value is not None:
        flags.append(Flag(FlagCode.ANSWER_CONTRADICTS_VALUE, {"value": str(case.value)}))
    return _passed(replace(case, value=None), Outcome.NOT_APPLICABLE, "not_applicable", flags)


def _not_reached(case: _Case) -> Verdict:
    reported = _reported(case)
    if reported is not None:
        return reported
    flags = list(case.flags)
    reason = reason_flag(case.point, case.check)
    if reason is not None:
        flags.append(reason)
    if case.value is not None:
        flags.append(Flag(FlagCode.ANSWER_CONTRADICTS_VALUE, {"value": str(case.value)}))
    return _passed(replace(case, value=None), Outcome.NOT_REACHED, "not_reached", flags)


_JUDGES: Mapping[str, Callable[[_Case], Verdict]] = {
    CheckAnswer.FINE: _fine,
    CheckAnswer.DEFECT: _defect,
    CheckAnswer.CORRECTED: _corrected,
    CheckAnswer.NOT_APPLICABLE: _not_applicable,
    CheckAnswer.NOT_REACHED: _not_reached,
}


def _reported(case: _Case) -> Verdict | None:
    """The finding inside an answer that does not call itself one, or None."""
    flags: list[Flag] = []
    grades = case.failures
    if any(is_worse(grade.graded, Severity.WATCH) for grade in grades):
        # A driver who calls a worn but lawful value fine is not wrong.
        flags.append(Flag(FlagCode.ANSWER_CONTRADICTS_VALUE, {"value": str(case.value)}))
    if case.check.finding:
        finding, unknown = _named_grades(case)
        grades.extend(finding)
        flags.extend([*unknown, Flag(FlagCode.ANSWER_CONTRADICTS_FINDING, {"finding": case.check.finding})])
    return _found(case, grades, [*case.flags, *case.limit_flag, *flags]) if grades else None


def _with_report(case: _Case, flag: Flag) -> Verdict:
    """An answer of an unknown kind: what it reports stands, and without a report it is flagged."""
    reported = _reported(case)
    if reported is None:
        return _flagged(case.check, case.point, flag, *case.flags)
    return replace(reported, flags=(*reported.flags, flag))


def _found(case: _Case, grades: list[Verdict], flags: list[Flag]) -> Verdict:
    """The worst of the grades, for what the check says; a driver may put anything on the certified list."""
    grade = strongest(grades)
    known = case.comparison is not None and not case.comparison.unknown
    return replace(
        grade,
        check=case.check,
        listing=Listing.DRIVER if case.check.listed and grade.listing is Listing.NOTED else grade.listing,
        accepted_value=case.value if known else None,
        flags=(*flags, *grade.flags),
    )


def _passed(case: _Case, outcome: Outcome, rule: str, flags: list[Flag]) -> Verdict:
    if flags:
        return _flagged(case.check, case.point, *flags)
    if case.value is None or case.comparison is None or not case.comparison.applied:
        return Verdict(outcome, f"judge#{rule}", case.check, case.point, accepted_value=case.value)
    shown = case.comparison.applied[0]
    return Verdict(
        outcome,
        f"{case.point.name}#{shown.limit.id}",
        case.check,
        case.point,
        limit_id=shown.limit.id,
        limit_value=shown.figure,
        source=shown.limit.source,
        accepted_value=case.value,
    )


def _flagged(check: CheckBody, point: Point | None, *flags: Flag) -> Verdict:
    return Verdict(Outcome.FLAGGED, f"judge#{flags[0].code}", check, point, flags=flags)


def _unreadable(verdict: Verdict, value: str) -> Verdict:
    """The value given is what must be looked at; that none was understood is the same thing, and not said again."""
    others = (flag for flag in verdict.flags if flag.code is not FlagCode.VALUE_MISSING)
    flag = Flag(FlagCode.VALUE_UNREADABLE, {"value": value})
    outcome = verdict.outcome if verdict.outcome is Outcome.FINDING else Outcome.FLAGGED
    return replace(verdict, outcome=outcome, accepted_value=None, flags=(flag, *others))


def _on_anothers_word(verdict: Verdict, heard_from: str) -> Verdict:
    """What another told the driver is a fault where it is one; it is no look, and its value enters no series."""
    if verdict.outcome in {Outcome.FINDING, Outcome.CORRECTED, Outcome.NOT_REACHED}:
        return replace(verdict, accepted_value=None)
    flag = Flag(FlagCode.HEARD_ONLY, {"heard_from": heard_from})
    return replace(verdict, outcome=Outcome.FLAGGED, accepted_value=None, flags=(*verdict.flags, flag))


def _at_unknown_time(verdict: Verdict) -> Verdict:
    """A finding stands, nothing else does; that the time is not known is flagged once, for the whole walk-around."""
    if verdict.outcome in {Outcome.FINDING, Outcome.FLAGGED}:
        return replace(verdict, accepted_value=None)
    return Verdict(Outcome.FLAGGED, "judge#time_unknown", verdict.check, verdict.point)
