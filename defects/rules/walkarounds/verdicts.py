"""What judging a check takes and gives back: circumstances; outcome, what it stands on, what a foreman must look at."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from enum import StrEnum

from defects.enums import Bars, Listing, Outcome, Severity
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.observed import Conditions, Observer
from defects.rules.catalogue.points import Point, Source


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


@dataclass(frozen=True, slots=True)
class Verdict:
    """The judgement of one check.

    Severity and bars are set for a finding. For a flagged answer that reported a defect where the rules cannot place
    it, they say what it would be. `rule_id` is `point#limit or finding`, or `judge#code` for a rule of this package.
    `regulation_severity` is what no regrade may go below. `accepted_value` is the value that may enter a series.
    """

    outcome: Outcome
    rule_id: str
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


ObserverOf = Callable[[Point | None], Observer]


def qualified(_: Point | None) -> Observer:
    """Whoever may answer any point: an officer, or the foreman who says what a fault is."""
    return Observer(qualified=True)


@dataclass(frozen=True, slots=True)
class Circumstances:
    """What all checks of one walk-around are judged under. The first catalogue that knows a point judges it.

    Behind the catalogue in force stands the older one that the phone carried. While it is not known when the
    walk-around was done (`time_known`), nothing on it counts as fine and no value enters a series.
    """

    catalogues: tuple[Catalogue, ...]
    conditions: Conditions
    on: date
    observer_of: ObserverOf
    time_known: bool = True

    def point(self, name: str) -> Point | None:
        """The point of that name, retired or not, or None."""
        return next(filter(None, (catalogue.get(name) for catalogue in self.catalogues)), None)
