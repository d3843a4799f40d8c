"""What an expiry list looks for: documents that subjects should have, and graces by the ends they follow."""

from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date

from fleet.enums import Role
from fleet.rules.documents.kinds import DocumentKind, documents_needed
from fleet.rules.documents.periods import CalendarYear, PeriodFacts, UseTaxYear

SHOWN_BY_ROLE: Mapping[str, frozenset[str]] = {"drives": frozenset({Role.DRIVER})}
SHOWN_BY_SCOPE: Mapping[str, frozenset[str]] = {
    "inspects_periodically": frozenset({"periodic_inspection"}),
    "answers_for_brakes": frozenset({"brakes_inspect", "brakes_adjust", "brakes_repair"}),
    "opens_refrigerant_circuits": frozenset({"refrigerant"}),
}
"""Which of a person's roles and scopes of qualification show that a condition of `CONDITIONS` is met; our own."""

YEARS_AROUND = 30
"""Graces are worked out for ends at most this many years away; nobody asks for what ended longer ago."""


@dataclass(frozen=True, slots=True)
class Expected:
    """One document that every subject of a sort should have; of people only those who meet all of `conditions`."""

    subject: str
    kind: str
    state: str
    conditions: frozenset[str]


@dataclass(frozen=True, slots=True)
class Grace:
    """A document of `kind` that ends on `ends_on` serves through `last_day`; reminders count to `counts_to`."""

    kind: str
    ends_on: date
    last_day: date
    counts_to: date


def expected_documents(
    kinds: Iterable[DocumentKind], conditions: Mapping[str, AbstractSet[str]], states: AbstractSet[str]
) -> tuple[Expected, ...]:
    """The required documents by the conditions that the carrier decided on for each sort of subject.

    A document given by States is expected for `states` alone: those that the carrier says its units run in.
    """
    catalogue = tuple(kinds)
    found = []
    for subject in ("tractor", "trailer", "cooling_unit", "carrier", "person"):
        for need in documents_needed(catalogue, subject, frozenset(conditions.get(subject, ())), states):
            own = need.kind.when if subject == "person" else frozenset[str]()
            found.append(Expected(subject, need.kind.name, need.state, own))
    return tuple(found)


def undecided_documents(kinds: Iterable[DocumentKind]) -> tuple[tuple[str, str], ...]:
    """Sort of subject and kind of every required document that hangs on a condition the carrier has not decided on."""
    return tuple(
        (subject, kind.name) for kind in kinds if kind.required and kind.when for subject in sorted(kind.applies_to)
    )


def graces(kinds: Iterable[DocumentKind], today: date) -> tuple[Grace, ...]:
    """Every grace of the kinds that have one, for the years around `today`."""
    found = []
    for kind in kinds:
        if not isinstance(kind.rule, CalendarYear | UseTaxYear):
            continue
        for year in range(today.year - YEARS_AROUND, today.year + YEARS_AROUND + 1):
            end = kind.rule.end(PeriodFacts(starts_on=date(year, 1, 1)))
            last_day, counts_to = end.last_day(), end.reminder_day()
            if end.grace_until is not None and end.by_day and last_day and counts_to:
                found.append(Grace(kind.name, end.by_day, last_day, counts_to))
    return tuple(found)
