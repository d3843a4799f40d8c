"""A point of the catalogue as the API shows it in one language. Chooses nothing and judges nothing."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Annotated, Self

from pydantic import Field

from common.api.answers import Answer
from common.api.values import Word
from defects.enums import Authority, Bars, Evidence, Severity, WalkaroundKind
from defects.messages.catalogue import SUBSYSTEMS, SYSTEMS
from defects.rules.catalogue.catalogue import decimal_text
from defects.rules.catalogue.clauses import When, WhenValue
from defects.rules.catalogue.closed_sets import (
    CATALOGUE_LEGS,
    Basis,
    FailsWhen,
    HowOften,
    Language,
    Method,
    PartGroup,
    PlaceType,
    Precondition,
    RuleKind,
    Subsystem,
    System,
    Tool,
    UnitOfMeasure,
    Who,
)
from defects.rules.catalogue.points import Finding, Limit, Measure, Point, Raise, Source
from defects.rules.walkarounds.grading import grade_everywhere
from fleet.enums import AxleRole, UnitKind


class SourceAnswer(Answer):
    """Where a figure or grade comes from and how that is known."""

    section: str
    basis: Basis


class ClauseAnswer(Answer):
    """One fact of a unit or a walk, and the values of it that a rule asks for; all clauses together must hold."""

    fact: str
    values: list[str]


class RaiseAnswer(Answer):
    """A more severe grade where its clauses hold."""

    when: list[ClauseAnswer]
    severity: Severity

    @classmethod
    def of_step(cls, step: Raise) -> Self:
        return cls(when=clauses(step.when), severity=step.severity)


class MeasureAnswer(Answer):
    """What is measured; values outside minimum and maximum are flagged."""

    quantity: str
    unit_of_measure: UnitOfMeasure
    minimum: str
    maximum: str
    decimals: int
    required: bool

    @classmethod
    def of_measure(cls, measure: Measure) -> Self:
        return cls.of(measure, minimum=decimal_text(measure.minimum), maximum=decimal_text(measure.maximum))


class LimitAnswer(Answer):
    """One limit: a fixed `value`, a range `low` to `high`, or a share of a figure of the unit or trip."""

    id: str
    fails_when: FailsWhen
    value: str | None
    low: str | None
    high: str | None
    share_percent: str | None
    share_of: str
    when: list[ClauseAnswer]
    severity: Severity
    bars: Bars
    raised: list[RaiseAnswer]
    kind: RuleKind
    source: SourceAnswer
    effective_from: date | None
    effective_until: date | None

    @classmethod
    def of_limit(cls, limit: Limit) -> Self:
        """A limit with its grade wherever it is failed."""
        severity, bars = grade_everywhere(limit)
        return cls.of(
            limit,
            value=text_or_none(limit.value),
            low=text_or_none(limit.low),
            high=text_or_none(limit.high),
            share_percent=None if limit.share is None else decimal_text(limit.share.percent),
            share_of="" if limit.share is None else limit.share.fact,
            when=clauses(limit.when),
            severity=severity,
            bars=bars,
            raised=_raised(limit.raised),
            source=source_of(limit.source),
        )


class ConditionAnswer(Answer):
    """One condition that can be reported, in the person's language."""

    code: str
    text: str = Field(description="what is wrong, to be read after the thing and a colon")
    default: bool
    source: SourceAnswer

    @classmethod
    def of_finding(cls, finding: Finding, language: Language) -> Self:
        """A condition without its grade, or with the grade that it has everywhere."""
        return cls.of(finding, text=finding.text[language], source=source_of(finding.source))


class FindingAnswer(ConditionAnswer):
    """One condition with its grade. What the carrier raised everywhere is in it; `raised` hangs on facts of a unit."""

    severity: Severity
    bars: Bars
    raised: list[RaiseAnswer]

    @classmethod
    def of_finding(cls, finding: Finding, language: Language) -> Self:
        """A condition with the grade that it has everywhere."""
        severity, bars = grade_everywhere(finding)
        return cls(
            code=finding.code,
            text=finding.text[language],
            default=finding.default,
            source=source_of(finding.source),
            severity=severity,
            bars=bars,
            raised=_raised(finding.raised),
        )


class PointAnswer(Answer):
    """One line of the catalogue in the person's language."""

    name: str
    title: str
    thing: str = Field(description="what is looked at, as the name of a defect begins")
    figure: str = Field(description="what a value is of, where thing and unit of measure leave it open")
    ask: str
    caution: str
    put_right: str = Field(description="what the driver does to end a fault; empty where the shop must")
    unit_kinds: list[UnitKind]
    authority: Authority
    part_group: PartGroup
    system: System
    subsystem: Subsystem | None = Field(description="null where the carrier's own point names none")
    part: str = Field(description="system and subsystem in words")
    leg: Annotated[str, Word(CATALOGUE_LEGS)]
    place_type: PlaceType
    places: list[str]
    axle_roles: list[AxleRole]
    applies_when: list[ClauseAnswer]
    who: Who
    for_trained_drivers: bool
    method: Method
    tools: list[Tool]
    preconditions: list[Precondition]
    often: HowOften
    walks: list[Annotated[str, Word(WalkaroundKind)]]
    evidence: Evidence
    measure: MeasureAnswer | None
    limits: list[LimitAnswer]
    findings: list[FindingAnswer]
    correctable: bool
    optional: bool
    behind_seal: bool
    retired_on: date | None

    @classmethod
    def of_point(cls, point: Point, language: Language) -> Self:
        text = point.text[language]
        return cls.of(
            point,
            title=text.title,
            thing=text.thing,
            figure=text.figure,
            ask=text.ask,
            caution=text.caution,
            put_right=text.put_right,
            part=_part(point),
            applies_when=clauses(point.applies_when),
            measure=None if point.measure is None else MeasureAnswer.of_measure(point.measure),
            limits=[LimitAnswer.of_limit(limit) for limit in point.limits],
            findings=[FindingAnswer.of_finding(finding, language) for finding in point.findings],
        )


class PointsAnswer(Answer):
    """The points asked for, in the order of the walk, and the hash that names the catalogue they are from."""

    catalogue: str
    language: Language
    results: list[PointAnswer]


def source_of(source: Source) -> SourceAnswer:
    """Where something comes from."""
    return SourceAnswer.of(source)


def clauses(when: When) -> list[ClauseAnswer]:
    """A clause of the catalogue as a list of facts with their values."""
    return [ClauseAnswer(fact=fact, values=[_value(value) for value in values]) for fact, values in when.items()]


def text_or_none(value: Decimal | None) -> str | None:
    """A decimal without zeros at its end, or None."""
    return None if value is None else decimal_text(value)


def _raised(steps: Iterable[Raise]) -> list[RaiseAnswer]:
    return [RaiseAnswer.of_step(step) for step in steps if step.when]


def _value(value: WhenValue) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Decimal):
        return decimal_text(value)
    return value.isoformat() if isinstance(value, date) else str(value)


def _part(point: Point) -> str:
    system = str(SYSTEMS[point.system])
    return system if point.subsystem is None else f"{system}: {SUBSYSTEMS[point.subsystem]}"
