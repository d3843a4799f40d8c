"""A point of the catalogue and its parts, as frozen values. Reading and checking them is done elsewhere."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from defects.rules.fieldwork import HowOften, Method, Precondition, Tool
from defects.rules.vocabulary import (
    AxleRole,
    Bars,
    Basis,
    Evidence,
    FailsWhen,
    Language,
    Leg,
    Listing,
    PartGroup,
    PlaceType,
    RuleKind,
    Severity,
    Standing,
    System,
    UnitKind,
    UnitOfMeasure,
    WalkKind,
    WhenUnknown,
    Who,
)

WhenValue = str | bool | Decimal | date
When = Mapping[str, tuple[WhenValue, ...]]
"""A clause: every key must match one of its values. The keys are those of `conditions`."""


@dataclass(frozen=True, slots=True)
class Source:
    """Where a figure or a grade comes from, and how that is known."""

    section: str
    basis: Basis

    def __str__(self) -> str:
        return self.section if self.basis is Basis.READ else f"{self.section} ({self.basis})"


@dataclass(frozen=True, slots=True)
class Raise:
    """A more severe grade under a clause; never a milder one."""

    when: When
    severity: Severity
    source: Source | None = None


@dataclass(frozen=True, slots=True)
class Measure:
    """What is measured and what a plausible value is. `required`: an answer without a value is not an answer."""

    quantity: str
    unit_of_measure: UnitOfMeasure
    minimum: Decimal
    maximum: Decimal
    decimals: int
    required: bool = False


@dataclass(frozen=True, slots=True)
class Threshold:
    """A share, in percent, of a figure of the unit or of the trip: what a limit is when it is no fixed number.

    `otherwise` is the figure itself to take where nobody recorded it, such as the usual number of pins.
    """

    fact: str
    percent: Decimal
    otherwise: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Limit:
    """A limit of a measured point. Exactly one of `value`, `share`, or both `low` and `high` is set."""

    id: str
    fails_when: FailsWhen
    severity: Severity
    bars: Bars
    kind: RuleKind
    source: Source
    listing: Listing | None = None
    when: When = field(default_factory=dict)
    when_unknown: WhenUnknown = WhenUnknown.QUERY
    value: Decimal | None = None
    low: Decimal | None = None
    high: Decimal | None = None
    share: Threshold | None = None
    raised: tuple[Raise, ...] = ()
    counts_as_service_brake: bool = False
    effective_from: date | None = None
    effective_until: date | None = None

    def in_force(self, on: date) -> bool:
        """Whether the limit holds on a day; the last day is included."""
        return (self.effective_from is None or self.effective_from <= on) and (
            self.effective_until is None or on <= self.effective_until
        )


@dataclass(frozen=True, slots=True)
class Finding:
    """A named condition a person can report at a point, with its grade. One of a point's findings is its default."""

    code: str
    severity: Severity
    bars: Bars
    kind: RuleKind
    source: Source
    text: Mapping[Language, str]
    listing: Listing | None = None
    default: bool = False
    raised: tuple[Raise, ...] = ()
    counts_as_service_brake: bool = False


@dataclass(frozen=True, slots=True)
class PointText:
    """What a person reads: the check's title, what to do, and the caution where somebody could be hurt.

    `thing` names what is looked at, as a fault of it begins; `figure` what a value of it is, where that is not plain.
    `put_right` says how the driver ends a fault that is the driver's to end; empty where the shop must.
    """

    title: str
    thing: str
    ask: str
    figure: str = ""
    caution: str = ""
    put_right: str = ""


@dataclass(frozen=True, slots=True)
class Point:
    """One line of the catalogue. `order` sorts within the leg; `optional` is equipment a unit may lack.

    `behind_seal`: cannot be reached on a sealed trailer. `for_trained_drivers`: a mechanic's point that the carrier
    opened to drivers it trained. `retired_on`: first day on which the point is asked no more; names are never reused.
    """

    name: str
    unit_kinds: tuple[UnitKind, ...]
    standing: Standing
    part_group: PartGroup
    system: System
    leg: Leg
    order: int
    place_type: PlaceType
    who: Who
    method: Method
    often: HowOften
    walks: tuple[WalkKind, ...]
    evidence: Evidence
    findings: tuple[Finding, ...]
    text: Mapping[Language, PointText]
    places: tuple[str, ...] = ()
    axle_roles: tuple[AxleRole, ...] = ()
    applies_when: When = field(default_factory=dict)
    tools: tuple[Tool, ...] = ()
    preconditions: tuple[Precondition, ...] = ()
    measure: Measure | None = None
    limits: tuple[Limit, ...] = ()
    correctable: bool = False
    optional: bool = False
    behind_seal: bool = False
    for_trained_drivers: bool = False
    retired_on: date | None = None

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
        """The limit of that id, or None."""
        return next((limit for limit in self.limits if limit.id == limit_id), None)
