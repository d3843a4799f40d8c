"""How long each kind of record must be kept, as dates with their source, and by which rule an entry of the history is.

Deletes nothing and knows no legal hold. Every app contributes the rules of its own entries.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date

from common.days import add_months


@dataclass(frozen=True, slots=True)
class RetentionRule:
    """Keep `months` counted from an event (`counts_from`, in words), the last day included.

    `until_over`: the event is an end that may still lie ahead (a duty, a use), and until it comes nothing may go.
    `months_after_control`: where a unit has left the carrier's control, at least so many months after that as well.
    `basis`: `read` in the source, from `memory` of it, or the carrier's `own` default.
    """

    months: int
    counts_from: str
    source: str
    basis: str
    until_over: bool = False
    months_after_control: int = 0


@dataclass(frozen=True, slots=True)
class RetentionEnd:
    """The answer: the last day of keeping, None while its end is not known, and the rule that says so."""

    until: date | None
    rule: RetentionRule


RECORD_KINDS: Mapping[str, RetentionRule] = {
    "driver_report": RetentionRule(3, "day the written report was prepared", "49 CFR 396.11(a)(4)", "read"),
    "roadside_inspection": RetentionRule(12, "day of the inspection", "49 CFR 396.9(d)(3)(ii)", "read"),
    "maintenance": RetentionRule(12, "day of the record", "49 CFR 396.3(c)", "read", months_after_control=6),
    "periodic_inspection_report": RetentionRule(14, "date of the inspection report", "49 CFR 396.21(b)(1)", "read"),
    "periodic_inspector_evidence": RetentionRule(
        12, "last day of inspecting for the carrier", "49 CFR 396.19(b)", "read", until_over=True
    ),
    "brake_inspector_evidence": RetentionRule(
        12, "last day of employment in that work", "49 CFR 396.25(e)", "read", until_over=True
    ),
    "food_procedures": RetentionRule(12, "last day of use of the procedures", "21 CFR 1.912", "read", until_over=True),
    "food_agreement": RetentionRule(12, "end of the agreement", "21 CFR 1.912", "read", until_over=True),
    "food_training": RetentionRule(12, "last day of the person's duties", "21 CFR 1.912", "read", until_over=True),
    "refrigerant_card": RetentionRule(
        36, "last day of work as a technician", "40 CFR 82.161(a)(4)", "read", until_over=True
    ),
    "california_cooling_unit": RetentionRule(36, "day of the record", "13 CCR 2477.20(b)", "read"),
    "unit_file": RetentionRule(
        6, "day the unit leaves the carrier's control", "49 CFR 396.3(b)(1), (c)", "read", until_over=True
    ),
    "load": RetentionRule(36, "day of the record", "carrier's default", "own"),
    "use_tax": RetentionRule(36, "last day of the tax year or, if later, of filing", "tax authority", "memory"),
    "superseded_document": RetentionRule(12, "last day of the document", "carrier's default", "own"),
}
"""By record kind. A certificate and a driver review are kept as the driver report they belong to; what proves a
repair is `maintenance` too, and the later of the two dates counts."""


def retained_until(kind: str, counted_from: date | None, *, left_control_on: date | None = None) -> RetentionEnd:
    """The last day, included, on which a record of a kind must be there.

    `counted_from` is the day the rule's `counts_from` names; None only for an end that has not come yet. The day
    `left_control_on` matters to maintenance records alone: the later of the two dates counts. Raises KeyError for an
    unknown kind, ValueError for a missing day.
    """
    rule = RECORD_KINDS[kind]
    if counted_from is None:
        if rule.until_over:
            return RetentionEnd(None, rule)
        msg = f"{kind} is counted from the {rule.counts_from}"
        raise ValueError(msg)
    until = add_months(counted_from, rule.months)
    if rule.months_after_control and left_control_on is not None:
        until = max(until, add_months(left_control_on, rule.months_after_control))
    return RetentionEnd(until, rule)


@dataclass(frozen=True, slots=True)
class Retained:
    """The record kind whose rule counts, and the last day of keeping; None while it is kept for good."""

    record_kind: str
    until: date | None


@dataclass(frozen=True, slots=True)
class Happened:
    """One entry as the rules see it: what it says, and the later of the days it happened and was recorded on.

    Both days are the carrier's. The later one never keeps a record too short, whichever the rule counts from.
    """

    day: date
    said: Mapping[str, object]


RetentionBy = Callable[[Happened], Retained]

FILE = "unit_file"
"""The record kind of what is kept as long as the file itself."""

UNKNOWN = Retained(FILE, None)


@dataclass(frozen=True, eq=False)
class Retention:
    """How entries of these kinds are kept."""

    retained_by: RetentionBy
    events: tuple[str, ...]


def as_kind(record_kind: str) -> RetentionBy:
    """Return the rule of a record kind, counted from the entry's day; KeyError for an unknown kind."""
    retained_until(record_kind, date.min)
    return lambda happened: Retained(record_kind, retained_until(record_kind, happened.day).until)


def for_good(record_kind: str) -> RetentionBy:
    """Return the rule of what is kept as long as the file itself; KeyError for an unknown kind."""
    retained_until(record_kind, date.min)
    return lambda _: Retained(record_kind, None)
