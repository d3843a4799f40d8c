"""What a walk says of one point on one unit: the limits, grades, last values and open faults of its places."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Annotated, Self
from zoneinfo import ZoneInfo

from pydantic import Field

from common.api.answers import Answer
from common.api.values import Word
from defects.api.catalogue.answers import ConditionAnswer, MeasureAnswer, SourceAnswer, source_of, text_or_none
from defects.api.tires.wear import limit_day
from defects.enums import Authority, Bars, Listing, Severity, bars_until_certified
from defects.models import Defect, Measurement
from defects.rules.catalogue.closed_sets import (
    AnsweredBy,
    FailsWhen,
    HowOften,
    Language,
    Method,
    PlaceType,
    Precondition,
    System,
    Tool,
    Who,
)
from defects.rules.catalogue.conditions import Situation
from defects.rules.catalogue.limits import ShownLimit, limits_at
from defects.rules.catalogue.observed import Conditions, UnitFacts
from defects.rules.catalogue.places import axle_of, describe
from defects.rules.catalogue.points import Finding, Point
from defects.rules.walkarounds.grading import grade_here, may_pass
from defects.rules.walkarounds.looks import answered_by
from defects.rules.walkarounds.verdicts import Verdict
from defects.selectors.defects.naming import what_of_defect
from defects.selectors.walkarounds.walk import Spot, WalkGround
from fleet.models import Unit


class LimitHereAnswer(Answer):
    """A limit that holds at this place today, with the grade of a value past it. `certain` as with a condition."""

    id: str
    fails_when: FailsWhen
    value: str | None
    low: str | None
    high: str | None
    severity: Severity
    bars: Bars = Field(description="what it keeps the unit from until it is certified")
    listing: Listing
    certain: bool
    source: SourceAnswer


class GradeHereAnswer(Answer):
    """How grave a condition is at this place. `certain` is false while it hangs on something not known yet."""

    code: str
    severity: Severity
    bars: Bars = Field(description="what it keeps the unit from until it is certified")
    listing: Listing
    certain: bool


class LastValueAnswer(Answer):
    """The last value measured here and how many days ago that was."""

    value: str
    unit_of_measure: str
    measured_at: datetime
    age_days: int
    limit_on: date | None = Field(description="of a tread: the earliest day at which wear takes it to its limit")

    @classmethod
    def of_measurement(cls, last: Measurement, now: datetime, limit_on: date | None) -> Self:
        age = (now - last.measured_at).days
        return cls.of(last, value=text_or_none(last.value), age_days=age, limit_on=limit_on)


class DefectHereAnswer(Answer):
    """An open defect at this place."""

    number: int
    severity: Annotated[str, Word(Severity)]
    what: str
    found_at: datetime

    @classmethod
    def of_defect(cls, defect: Defect, ground: WalkGround, language: Language) -> Self:
        return cls.of(defect, what=what_of_defect(defect, ground.catalogue, language))


class PlaceAnswer(Answer):
    """One place of the unit at which the point is asked; empty for the whole unit.

    `answered_by`: whether a signature over the leg answers it, or only an answer of its own.
    """

    place: str
    answered_by: AnsweredBy
    words: str
    limits: list[LimitHereAnswer]
    findings: list[GradeHereAnswer]
    last_value: LastValueAnswer | None
    open_defects: list[DefectHereAnswer]


class PointHereAnswer(Answer):
    """One point asked on one unit. `may_answer`: whether this person's word that it is fine counts.

    Without places the unit's axles are not recorded: any place of `place_type` is taken.
    """

    unit: str
    point: str
    title: str
    ask: str
    caution: str
    authority: Authority
    system: System
    place_type: PlaceType
    who: Who
    may_answer: bool
    method: Method
    tools: list[Tool]
    preconditions: list[Precondition]
    often: HowOften
    measure: MeasureAnswer | None
    findings: list[ConditionAnswer]
    correctable: bool
    optional: bool
    behind_seal: bool
    places: list[PlaceAnswer]


@dataclass(frozen=True)
class PointOfUnit:
    """One point asked on one unit, with all that its answer is filled from."""

    ground: WalkGround
    point: Point
    unit: Unit
    facts: UnitFacts
    conditions: Conditions
    language: Language


def point_here(here: PointOfUnit, places: tuple[str, ...]) -> PointHereAnswer:
    """What is asked of the unit at that point, at each of its places."""
    point = here.point
    text = point.text[here.language]
    everywhere = Situation(here.facts, here.conditions)
    alike = {finding.code: _finding(point, finding, everywhere) for finding in point.findings if not finding.raised}
    return PointHereAnswer.of(
        point,
        unit=str(here.unit),
        point=point.name,
        title=text.title,
        ask=text.ask,
        caution=text.caution,
        may_answer=may_pass(point, here.ground.observe),
        measure=None if point.measure is None else MeasureAnswer.of_measure(point.measure),
        findings=[ConditionAnswer.of_finding(finding, here.language) for finding in point.findings],
        places=[_place(here, place, alike) for place in places],
    )


def _place(here: PointOfUnit, place: str, alike: Mapping[str, GradeHereAnswer]) -> PlaceAnswer:
    """One place; `alike` are the conditions whose grade is the same at every place of the point."""
    ground, point = here.ground, here.point
    spot = (here.unit.pk, point.name, place)
    situation = Situation(here.facts, here.conditions, place, axle_of(place, point, here.facts))
    last = ground.last.get(spot)
    return PlaceAnswer(
        place=place,
        answered_by=answered_by(point, place, ground.one_by_one.get(here.unit.pk, frozenset())),
        words=describe(place, here.language) if place else "",
        limits=[_limit(point, shown, situation) for shown in limits_at(point, situation, ground.today)],
        findings=[alike.get(finding.code) or _finding(point, finding, situation) for finding in point.findings],
        last_value=None if last is None else LastValueAnswer.of_measurement(last, ground.now, _limit_on(ground, spot)),
        open_defects=[
            DefectHereAnswer.of_defect(defect, ground, here.language) for defect in ground.open_defects.get(spot, ())
        ],
    )


def _limit_on(ground: WalkGround, spot: Spot) -> date | None:
    tire = ground.tires.get(spot)
    return None if tire is None else limit_day(tire.wear, ZoneInfo(ground.zone))


def _limit(point: Point, shown: ShownLimit, situation: Situation) -> LimitHereAnswer:
    grade = grade_here(point, shown.limit, situation)
    return LimitHereAnswer(
        id=shown.limit.id,
        fails_when=shown.limit.fails_when,
        value=text_or_none(shown.figure),
        low=text_or_none(shown.low),
        high=text_or_none(shown.high),
        severity=grade.graded,
        bars=_bars(grade),
        listing=grade.listing,
        certain=shown.certain and not grade.flags,
        source=source_of(shown.limit.source),
    )


def _finding(point: Point, finding: Finding, situation: Situation) -> GradeHereAnswer:
    grade = grade_here(point, finding, situation)
    return GradeHereAnswer(
        code=finding.code, severity=grade.graded, bars=_bars(grade), listing=grade.listing, certain=not grade.flags
    )


def _bars(grade: Verdict) -> Bars:
    """As the receipt will give it; what is listed keeps the unit from moving until it is certified."""
    return Bars(bars_until_certified(grade.bars, grade.listing))
