"""Judging one answer to one point. Pure: everything it needs to know is handed in, nothing is looked up."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date

from defects.enums import Bars, CheckAnswer, Outcome, Severity
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.conditions import Match
from defects.rules.catalogue.facts import CheckFacts, Conditions, UnitFacts
from defects.rules.query_codes import QueryCode
from defects.rules.severity import is_worse
from defects.rules.walkarounds.answers import correction_query, may_pass, reason_query
from defects.rules.walkarounds.cases import Case, case_of, misplaced, named_grades, needs_value
from defects.rules.walkarounds.grading import Grade, strongest
from defects.rules.walkarounds.verdicts import Query, Verdict


def judge_check(catalogue: Catalogue, check: CheckFacts, unit: UnitFacts, conditions: Conditions, on: date) -> Verdict:
    """Judge one answer as of a day, which picks the limits in force.

    An answer the rules cannot place, or that does not say enough, is `queried` and never fine. A value past a limit is
    a finding whatever the driver called it. Nothing here makes a worse report milder. Raises nothing: a report signed
    in the field is never lost to a rule.
    """
    point = catalogue.get(check.point)
    if point is None:
        return _queried(Query(QueryCode.POINT_UNKNOWN, {"point": check.point}))
    case = case_of(point, check, unit, conditions, on)
    wrong = misplaced(case, unit, on)
    if wrong is None:
        return _judge(case)
    would_be = _judge(case)
    if would_be.outcome is not Outcome.FINDING:
        return _queried(wrong)
    return replace(would_be, outcome=Outcome.QUERIED, accepted_value=None, queries=(wrong, *would_be.queries))


def _judge(case: Case) -> Verdict:
    judged = _JUDGES.get(case.check.answer)
    if judged is None:
        return _with_report(case, Query(QueryCode.ANSWER_UNKNOWN, {"answer": str(case.check.answer)}))
    return judged(case)


def _fine(case: Case) -> Verdict:
    reported = _reported(case)
    if reported is not None:
        return reported
    queries = [*case.queries, *case.limit_query]
    if case.applies is Match.NO:
        queries.append(Query(QueryCode.DOES_NOT_APPLY))
    if needs_value(case):
        queries.append(Query(QueryCode.VALUE_MISSING))
    if not may_pass(case.point, case.check):
        queries.append(Query(QueryCode.NEEDS_QUALIFIED_PERSON))
    return _passed(case, Outcome.FINE, "fine", queries)


def _defect(case: Case) -> Verdict:
    """A reported defect is a finding even if its value is unusable or within limits: the driver saw something.

    Without a name, a value that fails a limit says what was meant; any other leaves the point's default grade.
    """
    queries = [*case.queries, *case.limit_query]
    grades = case.failures
    named = case.check.finding
    if named or not grades:
        finding, unknown = named_grades(case)
        grades.extend(finding)
        queries.extend(unknown)
    if not named and case.value is not None and not case.failures and not case.limit_query:
        queries.append(Query(QueryCode.VALUE_WITHIN_LIMITS, {"value": str(case.value)}))
    if not named and needs_value(case):
        queries.append(Query(QueryCode.VALUE_MISSING))
    if case.applies is Match.NO:
        queries.append(Query(QueryCode.DOES_NOT_APPLY))
    return _found(case, grades, queries)


def _corrected(case: Case) -> Verdict:
    """Put right on the spot: no defect, unless the value afterwards still fails or the proof is missing."""
    queries = [*case.queries, *case.limit_query]
    grades = case.failures
    if grades:
        queries.append(Query(QueryCode.CORRECTION_STILL_FAILS, {"value": str(case.value)}))
    refused = correction_query(case.point, case.check)
    if refused is not None:
        finding, unknown = named_grades(case)
        grades.extend(finding)
        queries.extend([*unknown, refused])
    if grades:
        return _found(case, grades, queries)
    if case.check.finding and case.point.finding(case.check.finding) is None:
        queries.append(Query(QueryCode.FINDING_UNKNOWN, {"finding": case.check.finding}))
    if needs_value(case):
        queries.append(Query(QueryCode.VALUE_MISSING))
    return _passed(case, Outcome.CORRECTED, "corrected", queries)


def _not_applicable(case: Case) -> Verdict:
    reported = _reported(case)
    if reported is not None:
        return reported
    queries = list(case.queries)
    if case.applies is Match.YES and not case.point.optional:
        queries.append(Query(QueryCode.APPLIES_TO_THIS_UNIT))
    if case.value is not None:
        queries.append(Query(QueryCode.ANSWER_CONTRADICTS_VALUE, {"value": str(case.value)}))
    return _passed(replace(case, value=None), Outcome.NOT_APPLICABLE, "not_applicable", queries)


def _not_reached(case: Case) -> Verdict:
    reported = _reported(case)
    if reported is not None:
        return reported
    queries = list(case.queries)
    reason = reason_query(case.point, case.check)
    if reason is not None:
        queries.append(reason)
    if case.value is not None:
        queries.append(Query(QueryCode.ANSWER_CONTRADICTS_VALUE, {"value": str(case.value)}))
    return _passed(replace(case, value=None), Outcome.NOT_REACHED, "not_reached", queries)


_JUDGES: Mapping[str, Callable[[Case], Verdict]] = {
    CheckAnswer.FINE: _fine,
    CheckAnswer.DEFECT: _defect,
    CheckAnswer.CORRECTED: _corrected,
    CheckAnswer.NOT_APPLICABLE: _not_applicable,
    CheckAnswer.NOT_REACHED: _not_reached,
}


def _reported(case: Case) -> Verdict | None:
    """The finding inside an answer that does not call itself one, or None."""
    queries: list[Query] = []
    grades = case.failures
    if any(is_worse(grade.severity, Severity.WATCH) for grade in grades):
        # A driver who calls a worn but lawful value fine is not wrong.
        queries.append(Query(QueryCode.ANSWER_CONTRADICTS_VALUE, {"value": str(case.value)}))
    if case.check.finding:
        finding, unknown = named_grades(case)
        grades.extend(finding)
        queries.extend([*unknown, Query(QueryCode.ANSWER_CONTRADICTS_FINDING, {"finding": case.check.finding})])
    return _found(case, grades, [*case.queries, *case.limit_query, *queries]) if grades else None


def _with_report(case: Case, query: Query) -> Verdict:
    """An answer of an unknown kind: what it reports stands, and without a report it is queried."""
    reported = _reported(case)
    return _queried(query, *case.queries) if reported is None else replace(reported, queries=(*reported.queries, query))


def _found(case: Case, grades: list[Grade], queries: list[Query]) -> Verdict:
    grade = strongest(grades)
    if not grade.sure:
        queries = [*queries, Query(QueryCode.CONDITION_UNKNOWN)]
    known = case.comparison is not None and not case.comparison.unknown
    return Verdict(
        outcome=Outcome.FINDING,
        rule_id=grade.rule_id,
        severity=grade.severity,
        bars=grade.bars,
        regulation_severity=grade.regulation_severity,
        finding=grade.finding,
        limit_id=grade.limit_id,
        limit_value=grade.limit_value,
        source=grade.source,
        counts_as_service_brake=grade.counts_as_service_brake,
        on_steering_axle=grade.on_steering_axle,
        listing=grade.listing,
        accepted_value=case.value if known else None,
        queries=tuple(queries),
    )


def _passed(case: Case, outcome: Outcome, rule: str, queries: list[Query]) -> Verdict:
    if queries:
        return _queried(*queries)
    applied = () if case.value is None or case.comparison is None else case.comparison.applied
    shown = applied[0] if applied else None
    return Verdict(
        outcome=outcome,
        rule_id=f"judge#{rule}" if shown is None else f"{case.point.name}#{shown.limit.id}",
        bars=Bars.NOTHING,
        limit_id=None if shown is None else shown.limit.id,
        limit_value=None if shown is None else shown.figure,
        source=None if shown is None else shown.limit.source,
        accepted_value=case.value,
        queries=(),
    )


def _queried(*queries: Query) -> Verdict:
    return Verdict(outcome=Outcome.QUERIED, rule_id=f"judge#{queries[0].code}", queries=queries)
