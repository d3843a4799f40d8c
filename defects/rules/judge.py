"""Judging one answer to one point. Pure: everything it needs to know is handed in, nothing is looked up."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from defects.rules.answers import correction_query, may_pass, reason_query, usable_value
from defects.rules.catalogue import Catalogue
from defects.rules.conditions import Match, Situation, match
from defects.rules.facts import CheckFacts, Conditions, UnitFacts
from defects.rules.grading import Grade, grade_finding, grade_limit, strongest
from defects.rules.limits import Comparison, compare
from defects.rules.places import axle_of, is_place_of
from defects.rules.points import Point
from defects.rules.verdicts import Query, Verdict
from defects.rules.vocabulary import Answer, Bars, Outcome, QueryCode


@dataclass(frozen=True, slots=True)
class _Case:
    """One answer with everything that was worked out about it before it is judged."""

    point: Point
    check: CheckFacts
    situation: Situation
    applies: Match
    value: Decimal | None
    comparison: Comparison | None
    queries: tuple[Query, ...]

    @property
    def failures(self) -> list[Grade]:
        failed = () if self.comparison is None else self.comparison.failed
        return [grade_limit(self.point, compared, self.situation) for compared in failed]

    @property
    def limit_query(self) -> tuple[Query, ...]:
        unknown = self.comparison is not None and self.comparison.unknown
        return (Query(QueryCode.LIMIT_UNKNOWN),) if unknown else ()


def judge_check(catalogue: Catalogue, check: CheckFacts, unit: UnitFacts, conditions: Conditions, on: date) -> Verdict:
    """Judge one answer as of a day, which picks the limits in force.

    An answer the rules cannot place, or that does not say enough, is `queried` and never fine. A value past a limit is
    a finding whatever the driver called it. Nothing here makes a worse report milder. Raises nothing: a report signed
    in the field is never lost to a rule.
    """
    point = catalogue.get(check.point)
    if point is None:
        return _queried(Query(QueryCode.POINT_UNKNOWN, {"point": check.point}))
    case = _case(point, check, unit, conditions, on)
    misplaced = _misplaced(case, unit, on)
    if misplaced is None:
        return _judge(case)
    would_be = _judge(case)
    if would_be.outcome is not Outcome.FINDING:
        return _queried(misplaced)
    return replace(would_be, outcome=Outcome.QUERIED, accepted_value=None, queries=(misplaced, *would_be.queries))


def _misplaced(case: _Case, unit: UnitFacts, on: date) -> Query | None:
    point, check = case.point, case.check
    if point.retired_on is not None and on >= point.retired_on:
        return Query(QueryCode.POINT_RETIRED, {"retired_on": point.retired_on.isoformat()})
    if unit.kind not in point.unit_kinds:
        return Query(QueryCode.POINT_NOT_FOR_UNIT_KIND, {"unit_kind": unit.kind})
    if not is_place_of(check.place, point, unit):
        return Query(QueryCode.PLACE_UNKNOWN, {"place": check.place})
    return None


def _case(point: Point, check: CheckFacts, unit: UnitFacts, conditions: Conditions, on: date) -> _Case:
    situation = Situation(unit, conditions, check.place, axle_of(check.place, point, unit))
    value, value_query = usable_value(point, check)
    return _Case(
        point=point,
        check=check,
        situation=situation,
        applies=match(point.applies_when, situation),
        value=value,
        comparison=None if value is None else compare(point, value, situation, on),
        queries=() if value_query is None else (value_query,),
    )


def _judge(case: _Case) -> Verdict:
    judged = _JUDGES.get(case.check.answer)
    if judged is None:
        return _with_report(case, Query(QueryCode.ANSWER_UNKNOWN, {"answer": str(case.check.answer)}))
    return judged(case)


def _fine(case: _Case) -> Verdict:
    reported = _reported(case)
    if reported is not None:
        return reported
    queries = [*case.queries, *case.limit_query]
    if case.applies is Match.NO:
        queries.append(Query(QueryCode.DOES_NOT_APPLY))
    if case.value is None and not case.queries and case.point.measure is not None and case.point.measure.required:
        queries.append(Query(QueryCode.VALUE_MISSING))
    if not may_pass(case.point, case.check):
        queries.append(Query(QueryCode.NEEDS_QUALIFIED_PERSON))
    return _passed(case, Outcome.FINE, "fine", queries)


def _defect(case: _Case) -> Verdict:
    """A reported defect is a finding even if its value is unusable or within limits: the driver saw something."""
    queries = [*case.queries, *case.limit_query]
    grades = case.failures
    named = case.check.finding
    if named or not grades:
        finding, unknown = _named(case)
        grades.extend(finding)
        queries.extend(unknown)
    if not named and case.value is not None and not case.failures and not case.limit_query:
        queries.append(Query(QueryCode.VALUE_WITHIN_LIMITS, {"value": str(case.value)}))
    if case.point.measure is not None and case.point.measure.required and case.check.value is None and not named:
        queries.append(Query(QueryCode.VALUE_MISSING))
    if case.applies is Match.NO:
        queries.append(Query(QueryCode.DOES_NOT_APPLY))
    return _found(case, grades, queries)


def _corrected(case: _Case) -> Verdict:
    """Put right on the spot: no defect, unless the value afterwards still fails or the proof is missing."""
    failures = case.failures
    if failures:
        still = Query(QueryCode.CORRECTION_STILL_FAILS, {"value": str(case.value)})
        return _found(case, failures, [*case.queries, *case.limit_query, still])
    refused = correction_query(case.point, case.check)
    if refused is not None:
        finding, unknown = _named(case)
        return _found(case, finding, [*case.queries, *case.limit_query, *unknown, refused])
    queries = [*case.queries, *case.limit_query]
    if case.check.finding and case.point.finding(case.check.finding) is None:
        queries.append(Query(QueryCode.FINDING_UNKNOWN, {"finding": case.check.finding}))
    if case.value is None and not case.queries and case.point.measure is not None and case.point.measure.required:
        queries.append(Query(QueryCode.VALUE_MISSING))
    return _passed(case, Outcome.CORRECTED, "corrected", queries)


def _not_applicable(case: _Case) -> Verdict:
    reported = _reported(case)
    if reported is not None:
        return reported
    queries = list(case.queries)
    if case.applies is Match.YES and not case.point.optional:
        queries.append(Query(QueryCode.APPLIES_TO_THIS_UNIT))
    if case.value is not None:
        queries.append(Query(QueryCode.ANSWER_CONTRADICTS_VALUE, {"value": str(case.value)}))
    return _passed(replace(case, value=None), Outcome.NOT_APPLICABLE, "not_applicable", queries)


def _not_reached(case: _Case) -> Verdict:
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


_JUDGES: Mapping[str, Callable[[_Case], Verdict]] = {
    Answer.FINE: _fine,
    Answer.DEFECT: _defect,
    Answer.CORRECTED: _corrected,
    Answer.NOT_APPLICABLE: _not_applicable,
    Answer.NOT_REACHED: _not_reached,
}


def _reported(case: _Case) -> Verdict | None:
    """The finding inside an answer that does not call itself one, or None."""
    queries: list[Query] = []
    grades = case.failures
    if grades:
        queries.append(Query(QueryCode.ANSWER_CONTRADICTS_VALUE, {"value": str(case.value)}))
    if case.check.finding:
        finding, unknown = _named(case)
        grades.extend(finding)
        queries.extend([*unknown, Query(QueryCode.ANSWER_CONTRADICTS_FINDING, {"finding": case.check.finding})])
    return _found(case, grades, [*case.queries, *case.limit_query, *queries]) if grades else None


def _with_report(case: _Case, query: Query) -> Verdict:
    """An answer of an unknown kind: what it reports stands, and without a report it is queried."""
    reported = _reported(case)
    return _queried(query, *case.queries) if reported is None else replace(reported, queries=(*reported.queries, query))


def _named(case: _Case) -> tuple[list[Grade], list[Query]]:
    """The named condition graded; the point's default without a name; the worst of all if the name is unknown."""
    code = case.check.finding
    if not code:
        return [grade_finding(case.point, case.point.default_finding, case.situation)], []
    finding = case.point.finding(code)
    if finding is not None:
        return [grade_finding(case.point, finding, case.situation)], []
    every = [grade_finding(case.point, known, case.situation) for known in case.point.findings]
    return [strongest(every)], [Query(QueryCode.FINDING_UNKNOWN, {"finding": code})]


def _found(case: _Case, grades: list[Grade], queries: list[Query]) -> Verdict:
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
        accepted_value=case.value if known else None,
        queries=tuple(queries),
    )


def _passed(case: _Case, outcome: Outcome, rule: str, queries: list[Query]) -> Verdict:
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
