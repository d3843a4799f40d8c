"""What judging a check takes and gives back: circumstances; outcome, what it stands on, what a foreman must look at."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import StrEnum

from defects.enums import Authority, Bars, Listing, Outcome, Severity
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.observed import Conditions, Observer
from defects.rules.catalogue.points import Point, Source
from defects.rules.walkarounds.body import CheckBody


class FlagCode(StrEnum):
    """Why an answer must be looked at by a foreman."""

    UNIT_UNKNOWN = "unit_unknown"
    POINT_UNKNOWN = "point_unknown"
    POINT_RETIRED = "point_retired"
    POINT_NOT_FOR_UNIT_KIND = "point_not_for_unit_kind"
    PLACE_MISSING = "place_missing"
    PLACE_UNKNOWN = "place_unknown"
    DOES_NOT_APPLY = "does_not_apply"
    APPLIES_TO_THIS_UNIT = "applies_to_this_unit"
    ANSWER_UNKNOWN = "answer_unknown"
    ANSWER_CONTRADICTS_VALUE = "answer_contradicts_value"
    ANSWER_CONTRADICTS_FINDING = "answer_contradicts_finding"
    ANSWERED_TWICE = "answered_twice"
    FINDING_UNKNOWN = "finding_unknown"
    VALUE_MISSING = "value_missing"
    MEASURED_TWICE = "measured_twice"
    VALUE_NOT_ASKED = "value_not_asked"
    VALUE_UNREADABLE = "value_unreadable"
    VALUE_IMPLAUSIBLE = "value_implausible"
    VALUE_WITHIN_LIMITS = "value_within_limits"
    UNIT_MISSING = "unit_missing"
    UNIT_WRONG = "unit_wrong"
    LIMIT_UNKNOWN = "limit_unknown"
    CONDITION_UNKNOWN = "condition_unknown"
    NEEDS_QUALIFIED_PERSON = "needs_qualified_person"
    CORRECTION_INCOMPLETE = "correction_incomplete"
    CORRECTION_STILL_FAILS = "correction_still_fails"
    NOT_CORRECTABLE_ON_THE_SPOT = "not_correctable_on_the_spot"
    HEARD_ONLY = "heard_only"
    REASON_MISSING = "reason_missing"
    REASON_DOES_NOT_FIT = "reason_does_not_fit"
    LEG_WITHOUT_LIST = "leg_without_list"
    LEG_WITHOUT_SENTENCE = "leg_without_sentence"
    LEG_NOT_OF_THIS_WALK = "leg_not_of_this_walk"
    LEG_TIME_WITHOUT_OFFSET = "leg_time_without_offset"
    LEG_TIME_IMPLAUSIBLE = "leg_time_implausible"


@dataclass(frozen=True, slots=True)
class Flag:
    """Something about an answer that a foreman must look at: a code and the facts of its sentence."""

    code: FlagCode
    facts: Mapping[str, str] = field(default_factory=dict)


_VALUE_UNUSABLE = frozenset(
    {
        FlagCode.VALUE_NOT_ASKED,
        FlagCode.VALUE_UNREADABLE,
        FlagCode.VALUE_IMPLAUSIBLE,
        FlagCode.UNIT_MISSING,
        FlagCode.UNIT_WRONG,
    }
)

Fault = tuple[str, str]
"""Point and place on one unit: what makes two findings the same fault."""

NOTHING_SAID = CheckBody.model_construct(point="", answer="")


@dataclass(frozen=True, slots=True)
class Verdict:
    """The judgement of one check, which it holds with its point; None where the catalogue has none of that name.

    Severity and bars are set for a finding. For a flagged answer that reported a defect where the rules cannot place
    it, they say what it would be. `rule_id` is `point#limit or finding`, or `judge#code` for a rule of this package.
    `regulation_severity` is what no regrade may go below. `accepted_value` is the value that may enter a series.
    A grade that nobody reported yet is the verdict of a check that says nothing.
    """

    outcome: Outcome
    rule_id: str
    check: CheckBody = NOTHING_SAID
    point: Point | None = None
    severity: Severity | None = None
    bars: Bars = Bars.NOTHING
    regulation_severity: Severity | None = None
    finding: str | None = None
    limit_id: str | None = None
    limit_value: Decimal | None = None
    listing: Listing = Listing.NOTED
    source: Source | None = None
    counts_as_service_brake: bool = False
    on_steering_axle: bool = False
    accepted_value: Decimal | None = None
    flags: tuple[Flag, ...] = ()

    @property
    def graded(self) -> Severity:
        """The severity of a finding; ValueError for a verdict that carries none."""
        if self.severity is None:
            msg = f"{self.rule_id} is no finding"
            raise ValueError(msg)
        return self.severity

    @property
    def fault(self) -> Fault:
        return self.check.point, self.check.place

    @property
    def authority(self) -> Authority:
        """Statutory or carrier; what the catalogue does not know is taken for statutory."""
        return Authority.STATUTORY if self.point is None else self.point.authority

    @property
    def is_finding(self) -> bool:
        """Whether it becomes a defect or a sighting."""
        return self.outcome is Outcome.FINDING

    @property
    def is_correction(self) -> bool:
        """Whether something was put right on the spot, with its proof."""
        return self.outcome is Outcome.CORRECTED

    @property
    def is_reported(self) -> bool:
        """Whether something was reported as wrong, whatever the rules could make of it."""
        return self.severity is not None or self.check.says_fault

    @property
    def ends_fault(self) -> bool:
        """Whether it ends an open fault: it was put right, or is the driver's to end and was answered fine since."""
        answered_fine = self.outcome is Outcome.FINE and self.point is not None and self.point.ends_by_driver
        return answered_fine or self.is_correction

    @property
    def value(self) -> Decimal | None:
        """The value that may stand on the defect: one that could be compared, whether or not it enters a series."""
        unusable = any(flag.code in _VALUE_UNUSABLE for flag in self.flags)
        return self.check.number if self.is_finding and not unusable else None

    @property
    def unit_of_measure(self) -> str:
        """The unit of measure of `value`; empty without one."""
        return "" if self.value is None else self.check.unit_of_measure

    @property
    def words(self) -> str:
        """The driver's own words, with the name of a finding that the point has not."""
        named = self.point is None or self.point.finding(self.check.finding) is not None
        return ". ".join(filter(None, ("" if named else self.check.finding, self.check.note)))


NEVER = (datetime.min.replace(tzinfo=UTC),) * 2

ObserverOf = Callable[[Point | None], Observer]


def qualified(_: Point | None) -> Observer:
    """Whoever may answer any point: an officer, or the foreman who says what a fault is."""
    return Observer(qualified=True)


def unqualified(_: Point | None) -> Observer:
    """A driver of whom nothing more is known."""
    return Observer()


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What all checks of one walk-around are judged under. The first catalogue that knows a point judges it.

    Behind the catalogue in force stands the older one that the phone carried. While it is not known when the
    walk-around was done (`time_known`), nothing on it counts as fine, no value enters a series and no leg counts.

    `named` is the catalogue by which the phone listed the legs, None where it is none of ours; `walked` from when to
    when, in either order; `signed` whether under the sentence that says what a leg is.
    """

    catalogues: tuple[Catalogue, ...]
    conditions: Conditions
    on: date
    observer_of: ObserverOf
    time_known: bool = True
    named: Catalogue | None = None
    walked: tuple[datetime, datetime] = NEVER
    signed: bool = False

    def point(self, name: str) -> Point | None:
        """The point of that name, retired or not, or None."""
        for catalogue in self.catalogues:
            if name in catalogue.points:
                return catalogue.points[name]
        return None
