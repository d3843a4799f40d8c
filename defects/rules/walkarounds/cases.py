"""One answer with everything that is worked out about it before it is judged. Decides nothing by itself."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from defects.rules.catalogue.conditions import Match, Situation, match
from defects.rules.catalogue.facts import CheckFacts, Conditions, UnitFacts
from defects.rules.catalogue.limits import Comparison, compare
from defects.rules.catalogue.places import axle_of, is_place_of
from defects.rules.catalogue.points import Point
from defects.rules.query_codes import QueryCode
from defects.rules.walkarounds.answers import usable_value
from defects.rules.walkarounds.grading import Grade, grade_finding, grade_limit, strongest
from defects.rules.walkarounds.verdicts import Query


@dataclass(frozen=True, slots=True)
class Case:
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
        """The limits that the value fails, graded."""
        failed = () if self.comparison is None else self.comparison.failed
        return [grade_limit(self.point, compared, self.situation) for compared in failed]

    @property
    def limit_query(self) -> tuple[Query, ...]:
        """That it is not known which limit holds, if so."""
        unknown = self.comparison is not None and self.comparison.unknown
        return (Query(QueryCode.LIMIT_UNKNOWN),) if unknown else ()


def case_of(point: Point, check: CheckFacts, unit: UnitFacts, conditions: Conditions, on: date) -> Case:
    """Work out what an answer comes to: its situation, its usable value, and how that stands to the limits."""
    situation = Situation(unit, conditions, check.place, axle_of(check.place, point, unit))
    value, value_query = usable_value(point, check)
    return Case(
        point=point,
        check=check,
        situation=situation,
        applies=match(point.applies_when, situation),
        value=value,
        comparison=None if value is None else compare(point, value, situation, on),
        queries=() if value_query is None else (value_query,),
    )


def misplaced(case: Case, unit: UnitFacts, on: date) -> Query | None:
    """Why the point or the place is none of this unit's, or None."""
    point, check = case.point, case.check
    if point.retired_on is not None and on >= point.retired_on:
        return Query(QueryCode.POINT_RETIRED, {"retired_on": point.retired_on.isoformat()})
    if unit.kind not in point.unit_kinds:
        return Query(QueryCode.POINT_NOT_FOR_UNIT_KIND, {"unit_kind": unit.kind})
    if not is_place_of(check.place, point, unit):
        return Query(QueryCode.PLACE_UNKNOWN, {"place": check.place}) if check.place else Query(QueryCode.PLACE_MISSING)
    return None


def needs_value(case: Case) -> bool:
    """Whether a value is missing without which nothing was answered; one that is queried already is not missing."""
    measure = case.point.measure
    return measure is not None and measure.required and case.value is None and not case.queries


def named_grades(case: Case) -> tuple[list[Grade], list[Query]]:
    """The named condition graded; the point's default without a name; the worst of all if the name is unknown."""
    code = case.check.finding
    if not code:
        return [grade_finding(case.point, case.point.default_finding, case.situation)], []
    finding = case.point.finding(code)
    if finding is not None:
        return [grade_finding(case.point, finding, case.situation)], []
    every = [grade_finding(case.point, known, case.situation) for known in case.point.findings]
    return [strongest(every)], [Query(QueryCode.FINDING_UNKNOWN, {"finding": code})]
