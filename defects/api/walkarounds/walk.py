"""The walk over one combination as the API shows it: leg by leg, each point at each unit's own places."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Annotated, Self

from pydantic import Field

from common import messages
from common.api.answers import Answer
from common.api.values import Word
from common.messages import Message
from defects.api.catalogue.answers import ConditionAnswer, MeasureAnswer, SourceAnswer, source_of, text_or_none
from defects.enums import Authority, Bars, Leg, Listing, Severity, WalkaroundKind, stops_movement
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
from defects.rules.walkarounds.looks import answered_by, stops_of
from defects.rules.walkarounds.verdicts import Verdict
from defects.selectors.defects.naming import what_of_defect
from defects.selectors.walkarounds.walk import WalkGround
from fleet.api.units.short import UnitShort
from fleet.enums import UnitKind
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

    @classmethod
    def of_measurement(cls, last: Measurement, now: datetime) -> Self:
        return cls.of(last, value=text_or_none(last.value), age_days=(now - last.measured_at).days)


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


class StopAnswer(Answer):
    """One point on one unit, in walking order. `may_answer`: whether this person's word that it is fine counts.

    Without places the unit's axles are not recorded: any place of `place_type` is taken.
    """

    unit: str
    leg: Leg
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


class LegAnswer(Answer):
    """One leg of a unit: sign for it in `looked_at` of the unit's report once it was looked at."""

    unit: str
    leg: Leg
    words: str


class WalkAnswer(Answer):
    """What to look at on these units, in the order of the walk. `elsewhere` are open defects that no stop shows.

    `to_sign` is the sentence to be shown above the signature over the legs; send it as `signature.shown`.
    """

    catalogue: str
    kind: Annotated[str, Word(WalkaroundKind)]
    units: list[UnitShort]
    coupled: bool
    legs: list[LegAnswer]
    to_sign: str
    stops: list[StopAnswer]
    not_asked: list[str] = Field(description="what cannot be asked for want of a fact on record, in sentences")
    elsewhere: list[DefectHereAnswer]


def walk_answer(ground: WalkGround, kind: str, language: Language) -> WalkAnswer:
    stops = list(_stops(ground, kind, language))
    shown = {defect.number for stop in stops for place in stop.places for defect in place.open_defects}
    return WalkAnswer(
        catalogue=ground.catalogue.content_hash,
        kind=kind,
        units=[UnitShort.of(unit) for unit in ground.units],
        coupled=ground.coupled,
        legs=_legs(stops, language),
        to_sign=messages.render(Message("walk_to_sign"), language),
        stops=stops,
        not_asked=[
            messages.render(Message("clearance_axles_not_recorded", {"unit": str(unit)}), language)
            for unit in ground.units
            if unit.kind != UnitKind.COOLING_UNIT and not ground.facts[unit.pk].axles
        ],
        elsewhere=[
            DefectHereAnswer.of_defect(defect, ground, language)
            for defects in ground.open_defects.values()
            for defect in defects
            if defect.number not in shown
        ],
    )


def _legs(stops: Sequence[StopAnswer], language: Language) -> list[LegAnswer]:
    """The legs of each unit, once, in the order of the walk."""
    listed = dict.fromkeys((stop.unit, stop.leg) for stop in stops)
    words = {leg: messages.render(Message("walk_leg", {"leg": leg}), language) for _, leg in listed}
    return [LegAnswer(unit=unit, leg=leg, words=words[leg]) for unit, leg in listed]


@dataclass(frozen=True)
class _PointOfUnit:
    """One point asked on one unit, with all that its answer is filled from."""

    ground: WalkGround
    point: Point
    unit: Unit
    facts: UnitFacts
    conditions: Conditions
    language: Language


def _stops(ground: WalkGround, kind: str, language: Language) -> Iterator[StopAnswer]:
    conditions = Conditions(coupled=ground.coupled, walk_kind=kind)
    listed = {
        (stop.point.name, unit.pk): stop
        for unit in ground.units
        for stop in stops_of(ground.catalogue, ground.facts[unit.pk], conditions, ground.today)
    }
    for point in ground.catalogue.points.values():
        for unit in ground.units:
            stop = listed.get((point.name, unit.pk))
            if stop is not None:
                yield _stop(_PointOfUnit(ground, point, unit, ground.facts[unit.pk], conditions, language), stop.places)


def _stop(here: _PointOfUnit, places: tuple[str, ...]) -> StopAnswer:
    point = here.point
    text = point.text[here.language]
    everywhere = Situation(here.facts, here.conditions)
    alike = {finding.code: _finding(point, finding, everywhere) for finding in point.findings if not finding.raised}
    return StopAnswer.of(
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


def _place(here: _PointOfUnit, place: str, alike: Mapping[str, GradeHereAnswer]) -> PlaceAnswer:
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
        last_value=None if last is None else LastValueAnswer.of_measurement(last, ground.now),
        open_defects=[
            DefectHereAnswer.of_defect(defect, ground, here.language) for defect in ground.open_defects.get(spot, ())
        ],
    )


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
    return Bars.MOVEMENT if stops_movement(grade.bars, listed=grade.listing is not Listing.NOTED) else grade.bars
