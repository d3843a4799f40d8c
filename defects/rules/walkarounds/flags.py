"""Why an answer of a walk-around must be looked at: a closed list. The sentences stand in `messages/flags`."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum


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
    LEG_TIME_IMPLAUSIBLE = "leg_time_implausible"


@dataclass(frozen=True, slots=True)
class Flag:
    """Something about an answer that a foreman must look at: a code and the facts of its sentence."""

    code: FlagCode
    facts: Mapping[str, str] = field(default_factory=dict)
