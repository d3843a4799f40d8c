"""What a walk says of one point on one unit: the limits, grades, last values and open faults of its places."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Annotated, Any, Self, TypeVar
from zoneinfo import ZoneInfo

from pydantic import ConfigDict, Field

from common.api.answers import Answer
from common.api.values import Word
from defects.api.catalogue.answers import SourceAnswer, source_of, text_or_none
from defects.api.tires.wear import limit_day
from defects.enums import Bars, Listing, Severity, bars_until_certified
from defects.models import Defect
from defects.rules.catalogue.catalogue import decimal_text
from defects.rules.catalogue.closed_sets import AnsweredBy, FailsWhen, HowOften, Language, UnitOfMeasure, Who
from defects.rules.catalogue.conditions import Situation
from defects.rules.catalogue.limits import ShownLimit, limits_at
from defects.rules.catalogue.observed import Conditions, UnitFacts
from defects.rules.catalogue.places import axle_of
from defects.rules.catalogue.points import Finding, Measure, Point, Source
from defects.rules.walkarounds.due import Due
from defects.rules.walkarounds.grading import grade_here, may_pass
from defects.rules.walkarounds.looks import answered_by
from defects.rules.walkarounds.verdicts import Verdict
from defects.selectors.defects.naming import what_of_defect
from defects.selectors.walkarounds.walk import Spot, WalkContext
from fleet.models import Unit


class Sparse(Answer):
    """An answer that leaves out what is empty, false, or the word that its description calls usual."""

    model_config = ConfigDict(json_schema_serialization_defaults_required=False)

    def sparse(self) -> dict[str, Any]:
        return self.model_dump(mode="json", exclude_defaults=True)


class GradeAnswer(Sparse):
    """How grave something is. `certain` is false while it hangs on something not known yet."""

    severity: Severity
    bars: Bars = Field(description="what it keeps the unit from until it is certified")
    listing: Listing
    certain: bool = True


class LimitHereAnswer(Sparse):
    """A limit that holds here today. Its grade and its source are told by their numbers in the walk, from 0."""

    id: str
    fails_when: FailsWhen
    value: str | None = None
    low: str | None = None
    high: str | None = None
    grade: int
    source: int


class MeasureHereAnswer(Sparse):
    """What a value comes in; one outside minimum and maximum is flagged."""

    unit_of_measure: UnitOfMeasure
    minimum: str = "0"
    maximum: str
    decimals: int = 0
    required: bool = False


class DefectHereAnswer(Answer):
    """An open defect at this place, to be looked at again."""

    number: int
    severity: Annotated[str, Word(Severity)]
    what: str
    found_at: datetime

    @classmethod
    def of_defect(cls, defect: Defect, context: WalkContext, language: Language) -> Self:
        return cls.of(defect, what=what_of_defect(defect, context.catalogue, language))


class PlaceAnswer(Sparse):
    """What holds at one place of a point and not at its others; `findings` are those with another grade here."""

    place: str
    answered_by: AnsweredBy | None = None
    limits: list[LimitHereAnswer] = []
    findings: dict[str, int] = {}
    last_value: str | None = Field(default=None, description="the last one measured here, in the unit of `measure`")
    age_days: int | None = Field(default=None, description="how many days ago that was")
    limit_on: date | None = Field(
        default=None, description="of a tread: the earliest day at which wear takes it to its limit"
    )
    open_defects: list[DefectHereAnswer] = []


class PointHereAnswer(Sparse):
    """One point asked on one unit, which is that of the legs where it lies.

    `/points` has the rest of it: its findings in words, and what must hold before it can be answered. `may_answer`:
    whether this person's word that it is fine counts. `answered_by`: whether a signature over the leg answers its
    places, or only an answer of its own. `places` are those of which there is more to say.
    """

    point: str
    title: str
    ask: str
    caution: int | None = Field(default=None, description="its number in `cautions`, from 0")
    who: Who = Who.DRIVER
    may_answer: bool = True
    answered_by: AnsweredBy = AnsweredBy.LEG
    often: HowOften = HowOften.EVERY_WALK
    due: bool = Field(default=True, description="whether it is due today")
    due_on: date | None = Field(default=None, description="since when it is due, or when it will be, where known")
    measure: MeasureHereAnswer | None = None
    limits: list[LimitHereAnswer] = []
    findings: dict[str, int] = Field(description="what can be reported, each with the number of its grade in `grades`")
    correctable: bool = False
    optional: bool = False
    behind_seal: bool = False
    places: list[PlaceAnswer] = []

    def is_answered_by_leg(self, places: Collection[str]) -> bool:
        """Whether a signature over the leg answers any of these places."""
        by_itself = {place.place for place in self.places if place.answered_by is AnsweredBy.ONE_BY_ONE}
        return self.answered_by is AnsweredBy.LEG and not by_itself.issuperset(places)


Said = TypeVar("Said")


@dataclass
class SaidOnce:
    """What many points of a walk share: each is said once, and referred to by its number."""

    grades: list[GradeAnswer] = field(default_factory=list)
    sources: list[SourceAnswer] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)

    def grade(self, verdict: Verdict, *, certain: bool) -> int:
        """As the receipt will give it; what is listed keeps the unit from moving until it is certified."""
        bars = Bars(bars_until_certified(verdict.bars, verdict.listing))
        return _number(
            self.grades,
            GradeAnswer(severity=verdict.graded, bars=bars, listing=verdict.listing, certain=certain),
        )

    def source(self, source: Source) -> int:
        return _number(self.sources, source_of(source))

    def caution(self, text: str) -> int | None:
        return _number(self.cautions, text) if text else None


def _number(said: list[Said], each: Said) -> int:
    if each not in said:
        said.append(each)
    return said.index(each)


@dataclass(frozen=True)
class PointOfUnit:
    """One point asked on one unit, with all that its answer is filled from; of `by_leg` a leg may answer its places."""

    context: WalkContext
    point: Point
    unit: Unit
    facts: UnitFacts
    conditions: Conditions
    due: Due
    by_leg: bool
    said: SaidOnce
    language: Language


def point_here(here: PointOfUnit, places: tuple[str, ...]) -> PointHereAnswer:
    """What is asked of the unit at that point, and what there is to say of its places."""
    point, text = here.point, here.point.text[here.language]
    by = answered_by(point, "", ()) if here.by_leg else AnsweredBy.ONE_BY_ONE
    usual = {finding.code: _grade(here, finding, (*places, "")[0]) for finding in point.findings}
    limits = [_limits(here, place) for place in places]
    alike = all(each == limits[0] for each in limits)
    met = [
        _place(here, place, [] if alike else of_place, usual) for place, of_place in zip(places, limits, strict=True)
    ]
    return PointHereAnswer.of(
        point,
        point=point.name,
        title=text.title,
        ask=text.ask,
        caution=here.said.caution(text.caution),
        may_answer=may_pass(point, here.context.observe),
        answered_by=by,
        due=here.due.now,
        due_on=here.due.on,
        measure=None if point.measure is None else _measure(point.measure),
        limits=limits[0] if limits and alike else [],
        findings=usual,
        places=[place for place in met if place != PlaceAnswer(place=place.place)],
    )


def _measure(measure: Measure) -> MeasureHereAnswer:
    return MeasureHereAnswer.of(measure, minimum=decimal_text(measure.minimum), maximum=decimal_text(measure.maximum))


def _place(here: PointOfUnit, place: str, limits: list[LimitHereAnswer], usual: Mapping[str, int]) -> PlaceAnswer:
    context = here.context
    spot = (here.unit.pk, here.point.name, place)
    raised = ((finding.code, _grade(here, finding, place)) for finding in here.point.findings if finding.raised)
    last = context.last.get(spot)
    is_fault = here.by_leg and (here.point.name, place) in context.one_by_one.get(here.unit.pk, frozenset())
    return PlaceAnswer(
        place=place,
        answered_by=AnsweredBy.ONE_BY_ONE if is_fault else None,
        limits=limits,
        findings={code: grade for code, grade in raised if grade != usual[code]},
        last_value=None if last is None else decimal_text(last.value),
        age_days=None if last is None else (context.now - last.measured_at).days,
        limit_on=None if last is None else _limit_on(context, spot),
        open_defects=[
            DefectHereAnswer.of_defect(defect, context, here.language) for defect in context.open_defects.get(spot, ())
        ],
    )


def _limit_on(context: WalkContext, spot: Spot) -> date | None:
    tire = context.tires.get(spot)
    return None if tire is None else limit_day(tire.wear, ZoneInfo(context.zone))


def _situation(here: PointOfUnit, place: str) -> Situation:
    return Situation(here.facts, here.conditions, place, axle_of(place, here.point, here.facts))


def _grade(here: PointOfUnit, finding: Finding, place: str) -> int:
    grade = grade_here(here.point, finding, _situation(here, place))
    return here.said.grade(grade, certain=not grade.flags)


def _limits(here: PointOfUnit, place: str) -> list[LimitHereAnswer]:
    situation = _situation(here, place)
    return [_limit(here, shown, situation) for shown in limits_at(here.point, situation, here.context.today)]


def _limit(here: PointOfUnit, shown: ShownLimit, situation: Situation) -> LimitHereAnswer:
    grade = grade_here(here.point, shown.limit, situation)
    return LimitHereAnswer(
        id=shown.limit.id,
        fails_when=shown.limit.fails_when,
        value=text_or_none(shown.figure),
        low=text_or_none(shown.low),
        high=text_or_none(shown.high),
        grade=here.said.grade(grade, certain=shown.certain and not grade.flags),
        source=here.said.source(shown.limit.source),
    )
