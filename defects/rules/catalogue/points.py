"""A point of the catalogue and its parts: frozen values, and the form by which files and stored rules are read."""

from collections.abc import Mapping
from datetime import date
from typing import Annotated, Any, TypeVar

from pydantic import AfterValidator, Field, StrictBool, StrictInt, TypeAdapter, model_validator
from pydantic.dataclasses import dataclass
from pydantic_core import PydanticCustomError

from common.data_files import CLOSED, Day, Exact, Once, Some, Text
from defects.enums import Authority, Bars, Evidence, Leg, Listing, Severity, default_bars
from defects.rules.catalogue.clauses import CatalogueWalk, ShareFact, When
from defects.rules.catalogue.closed_sets import (
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
    WhenUnknown,
    Who,
)
from fleet.enums import AxleRole, UnitKind

Value = TypeVar("Value")


def _in_every_language(texts: Mapping[Language, Value]) -> Mapping[Language, Value]:
    missing = [language for language in Language if language not in texts]
    if missing:
        raise PydanticCustomError("language", "is missing in {missing}", {"missing": ", ".join(missing)})
    return texts


Code = Annotated[str, Field(pattern=r"^[a-z][a-z0-9]*([-_][a-z0-9]+)*$", max_length=40)]
Name = Annotated[str, Field(pattern=r"^[a-z][a-z0-9]*(-[a-z0-9]+)*(\.[a-z][a-z0-9]*(-[a-z0-9]+)*)+$", max_length=80)]
InEveryLanguage = AfterValidator(_in_every_language)


@dataclass(frozen=True, slots=True, config=CLOSED)
class Source:
    """Where a figure or a grade comes from, and how that is known."""

    section: Annotated[str, Field(pattern=r"\S", max_length=150)]
    basis: Basis

    def __str__(self) -> str:
        return self.section if self.basis is Basis.READ else f"{self.section} ({self.basis})"


def _kind_of(source: Source) -> RuleKind:
    return RuleKind.REGULATION if source.basis in (Basis.READ, Basis.MEMORY) else RuleKind.CARRIER


def _with_source(rows: object, source: object) -> object:
    if not isinstance(rows, list):
        return rows
    return [{"source": source, **row} if isinstance(row, dict) else row for row in rows]


@dataclass(frozen=True, slots=True, config=CLOSED)
class Raise:
    """A more severe grade under a clause; never a milder one."""

    severity: Severity
    when: When = Field(default_factory=dict)
    source: Source | None = None


@dataclass(frozen=True, slots=True, config=CLOSED)
class Measure:
    """What is measured and what a plausible value is. `required`: an answer without a value is not an answer."""

    quantity: Text
    unit_of_measure: UnitOfMeasure
    minimum: Exact
    maximum: Exact
    decimals: Annotated[StrictInt, Field(ge=0)]
    required: StrictBool = False


@dataclass(frozen=True, slots=True, config=CLOSED)
class Threshold:
    """A share, in percent, of a figure of the unit or of the trip: what a limit is when it is no fixed number.

    `otherwise` is the figure itself to take where nobody recorded it, such as the usual number of pins.
    """

    fact: ShareFact
    percent: Exact
    otherwise: Exact | None = None


@dataclass(frozen=True, slots=True, config=CLOSED)
class Limit:
    """A limit of a measured point. Exactly one of `value`, `share`, or both `low` and `high` is set."""

    id: Code
    fails_when: FailsWhen
    severity: Severity
    source: Source
    bars: Bars = Field(default_factory=lambda given: default_bars(given["severity"]))
    kind: RuleKind = Field(default_factory=lambda given: _kind_of(given["source"]))
    listing: Listing | None = None
    when: When = Field(default_factory=dict)
    when_unknown: WhenUnknown = WhenUnknown.FLAG
    value: Exact | None = None
    low: Exact | None = None
    high: Exact | None = None
    share: Threshold | None = None
    raised: tuple[Raise, ...] = ()
    counts_as_service_brake: StrictBool = False
    effective_from: Day | None = None
    effective_until: Day | None = None

    def in_force(self, on: date) -> bool:
        """Whether the limit holds on a day; the last day is included."""
        return (self.effective_from is None or self.effective_from <= on) and (
            self.effective_until is None or on <= self.effective_until
        )


@dataclass(frozen=True, slots=True, config=CLOSED)
class Finding:
    """A named condition a person can report at a point, with its grade. One of a point's findings is its default."""

    code: Code
    severity: Severity
    source: Source
    text: Annotated[Mapping[Language, Text], InEveryLanguage]
    bars: Bars = Field(default_factory=lambda given: default_bars(given["severity"]))
    kind: RuleKind = Field(default_factory=lambda given: _kind_of(given["source"]))
    listing: Listing | None = None
    default: StrictBool = False
    raised: tuple[Raise, ...] = ()
    counts_as_service_brake: StrictBool = False


@dataclass(frozen=True, slots=True, config=CLOSED)
class PointText:
    """What a person reads: the check's title, what to do, and the caution where somebody could be hurt.

    `thing` names what is looked at, as a fault of it begins; `figure` what a value of it is, where that is not plain.
    `put_right` says how the driver ends a fault that is the driver's to end; empty where the shop must.
    """

    title: Text
    thing: Annotated[str, Field(pattern=r"\S", max_length=60)]
    ask: Text
    figure: str = ""
    caution: str = ""
    put_right: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, config=CLOSED)
class Point:
    """One line of the catalogue. `order` sorts within the leg; `optional` is equipment a unit may lack.

    `behind_seal`: cannot be reached on a sealed trailer. `for_trained_drivers`: a mechanic's point that the carrier
    opened to drivers it trained. `subsystem` is None in older catalogues and where a carrier's own point names none.
    `retired_on`: first day on which the point is asked no more; names are never reused.
    """

    name: Name
    unit_kinds: Annotated[tuple[UnitKind, ...], Some, Once]
    authority: Authority
    part_group: PartGroup
    system: System
    leg: Leg
    order: Annotated[StrictInt, Field(ge=0)]
    place_type: PlaceType
    who: Who
    method: Method
    often: HowOften
    walks: Annotated[tuple[CatalogueWalk, ...], Some, Once]
    evidence: Evidence
    findings: tuple[Finding, ...] = Field(validation_alias="finding")
    text: Annotated[Mapping[Language, PointText], InEveryLanguage]
    places: tuple[Text, ...] = ()
    axle_roles: Annotated[tuple[AxleRole, ...], Once] = ()
    applies_when: When = Field(default_factory=dict)
    tools: Annotated[tuple[Tool, ...], Once] = ()
    preconditions: Annotated[tuple[Precondition, ...], Once] = ()
    measure: Measure | None = None
    limits: tuple[Limit, ...] = Field(default=(), validation_alias="limit")
    correctable: StrictBool = False
    optional: StrictBool = False
    behind_seal: StrictBool = False
    for_trained_drivers: StrictBool = False
    subsystem: Subsystem | None = None
    retired_on: Day | None = None

    @model_validator(mode="before")
    @classmethod
    def _one_source_for_all(cls, given: Any) -> Any:
        """A source said once for the point is that of each limit and finding without one of its own."""
        if not isinstance(given, Mapping) or "source" not in given:
            return given
        content = {key: value for key, value in given.items() if key != "source"}
        for key in {"limit", "finding"} & content.keys():
            content[key] = _with_source(content[key], given["source"])
        return content

    @property
    def default_finding(self) -> Finding:
        """The finding of a defect that was reported without naming a condition."""
        return next(finding for finding in self.findings if finding.default)

    @property
    def ends_by_driver(self) -> bool:
        """Whether a later answer of a driver ends its fault: it opens no repair order."""
        return any(text.put_right for text in self.text.values())

    def finding(self, code: str) -> Finding | None:
        """The named condition of that code, or None."""
        return next((finding for finding in self.findings if finding.code == code), None)

    def limit(self, limit_id: str) -> Limit | None:
        return next((limit for limit in self.limits if limit.id == limit_id), None)


POINT = TypeAdapter(Point)
"""Reads one table of a file or of a stored rule."""
