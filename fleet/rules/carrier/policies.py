"""The decisions that a carrier may take, each with the shape of its value. What follows from one is said elsewhere."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from common.errors import Invalid
from fleet.enums import Role
from fleet.rules.carrier.labor_rates import rates_from
from fleet.rules.cooling.time_outside import LONGEST_MIN
from fleet.rules.documents.kinds import CONDITIONS, STATES, SUBJECTS
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.periods import Reading
from fleet.rules.notifications.timing import DOCUMENT_ESCALATE_AFTER_DAYS, days_from, hours_from, minutes_from

SITE_KEY = re.compile(r"(notification_hours):[A-Za-z0-9][A-Za-z0-9._-]{0,23}")
"""A key that one site may have for itself: the carrier's key, a colon and the site's code."""

LONGEST_LIST = 500
LONGEST_LEAD_DAYS = 366


class PolicyRefused(Invalid):
    """A value that its key does not take. `code` says the rule."""


@dataclass(frozen=True)
class PolicyKey:
    """One decision: how a value is checked (PolicyRefused), and what holds while the carrier has not decided.

    `not_by`: whoever holds this role does not switch it on, because it does away with the second person beside them.
    """

    check: Callable[[object], None]
    default: object
    not_by: str = ""


def check_policy(key: str, value: object) -> None:
    """Refuse (PolicyRefused) an unknown key, `policy_key_unknown`, or a value that it does not take."""
    match = SITE_KEY.fullmatch(key)
    known = POLICIES.get(match[1] if match else key)
    if known is None:
        raise PolicyRefused("policy_key_unknown")
    known.check(value)


def _flag(value: object) -> None:
    if not isinstance(value, bool):
        raise PolicyRefused("policy_not_a_flag")


def _one_of(*allowed: str) -> Callable[[object], None]:
    def check(value: object) -> None:
        if value not in allowed:
            raise PolicyRefused("policy_not_among_choices")

    return check


def _whole(least: int, most: int) -> Callable[[object], None]:
    def check(value: object) -> None:
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            raise PolicyRefused("policy_not_whole_in_range")

    return check


def _document_conditions(value: object) -> None:
    if not isinstance(value, Mapping) or not value.keys() <= SUBJECTS:
        raise PolicyRefused("policy_not_document_conditions")
    for conditions in value.values():
        if not isinstance(conditions, list) or not all(isinstance(name, str) for name in conditions):
            raise PolicyRefused("policy_not_document_conditions")
        if not CONDITIONS.keys() >= set(conditions):
            raise PolicyRefused("policy_document_condition_unknown")
        if len(set(conditions)) != len(conditions):
            raise PolicyRefused("policy_names_twice")


def _objects(value: object) -> None:
    """Only the outer shape; the app that reads them refuses what it cannot use when the policy is announced."""
    if not isinstance(value, list) or len(value) > LONGEST_LIST or not all(isinstance(row, dict) for row in value):
        raise PolicyRefused("policy_not_a_list_of_objects")


def _states(value: object) -> None:
    if not isinstance(value, list) or not all(isinstance(name, str) for name in value):
        raise PolicyRefused("policy_not_states")
    if not set(value) <= STATES:
        raise PolicyRefused("state_unknown")
    if len(set(value)) != len(value):
        raise PolicyRefused("policy_names_twice")


def _lead_times(value: object) -> None:
    if not isinstance(value, Mapping):
        raise PolicyRefused("policy_not_lead_times")
    for kind, days in value.items():
        if kind not in load_document_kinds():
            raise PolicyRefused("policy_document_kind_unknown")
        if not isinstance(days, list) or not days or not all(_is_lead_day(day) for day in days):
            raise PolicyRefused("policy_not_lead_times")
        if days != sorted(set(days), reverse=True):
            raise PolicyRefused("policy_lead_times_not_falling")


def _is_lead_day(day: object) -> bool:
    return isinstance(day, int) and not isinstance(day, bool) and 0 <= day <= LONGEST_LEAD_DAYS


def _read_by(read: Callable[[object], object]) -> Callable[[object], None]:
    def check(value: object) -> None:
        try:
            read(value)
        except (TypeError, ValueError) as error:
            raise PolicyRefused("policy_malformed") from error

    return check


POLICIES: Mapping[str, PolicyKey] = {
    "periodic_inspection_reading": PolicyKey(_one_of(*Reading), Reading.BY_DAY.value),
    "small_carrier_lift": PolicyKey(_flag, default=False, not_by=Role.FOREMAN),
    "clearance_buffer_hours": PolicyKey(_whole(0, 168), 24),
    "walk_valid_hours": PolicyKey(_whole(1, 168), 24),
    "fuel_reserve_gal": PolicyKey(_whole(0, 100), 5),
    "outside_range_min": PolicyKey(_whole(1, 24 * 60), LONGEST_MIN),
    "catalogue_tightening": PolicyKey(_objects, []),
    "document_conditions": PolicyKey(_document_conditions, {}),
    "states_run": PolicyKey(_states, []),
    "notification_hours": PolicyKey(_read_by(hours_from), {}),
    "notification_escalation_min": PolicyKey(_read_by(minutes_from), 15),
    "notification_document_escalation_days": PolicyKey(_read_by(days_from), DOCUMENT_ESCALATE_AFTER_DAYS),
    "lead_times": PolicyKey(_lead_times, {}),
    "labor_rates": PolicyKey(_read_by(rates_from), {}),
}
"""By key. Every default is our own."""
