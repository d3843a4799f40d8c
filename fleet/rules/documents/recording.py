"""What may be recorded of a document, where it ends, and whether it is the same, the next or an earlier one."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Protocol

from fleet.rules.documents.kinds import STATES, DocumentKind
from fleet.rules.documents.periods import PeriodEnd, PeriodFacts, PeriodRefused
from fleet.rules.units.description import FactProblem

SELF_PROGRAM, AGENT_PROGRAM, STATE_PROGRAM = "self", "agent", "state"
OF_AN_AGENT = ("inspector", "issuer", "evidence_held_by")
"""What is said of an outside inspector: who, of which firm, and who keeps the evidence of the qualification."""

_STARTS_WITH_AN_EVENT = frozenset({"months_from_start", "use_tax_year", "biennial_by_number"})
"""Ways of ending that count from something done: an inspection, a first use, a filing. None of them can be ahead."""


@dataclass(frozen=True)
class Subject:
    """Whose document it is: its kind (one of `rules.documents.kinds.SUBJECTS`), and what its period starts from."""

    what: str
    usdot_number: str = ""
    model_year: int | None = None


class DocumentRefused(ValueError):
    """Facts that make no document of this kind; `problems` has all that is wrong."""

    def __init__(self, *problems: FactProblem) -> None:
        super().__init__(", ".join(f"{problem.field}: {problem.code}" for problem in problems))
        self.problems = problems


def end_of_document(kind: DocumentKind, subject: Subject, facts: Mapping[str, object], today: date) -> PeriodEnd:
    """Return where a document ends that is recorded today with columns of `Document` and `permanent`; PaperRefused."""
    problems = list(_problems(kind, subject, facts, today))
    if problems:
        raise DocumentRefused(*problems)
    try:
        return kind.rule.end(
            PeriodFacts(
                starts_on=_day(facts, "starts_on"),
                ends_on=_day(facts, "ends_on"),
                permanent=bool(facts.get("permanent", False)),
                under_state_program=facts.get("program") == STATE_PROGRAM,
                usdot_number=subject.usdot_number,
                model_year=subject.model_year,
            )
        )
    except PeriodRefused as refused:
        raise DocumentRefused(FactProblem(refused.field, f"period_{refused.code}")) from refused


def inspection_problems(facts: Mapping[str, object], *, qualified: bool) -> list[FactProblem]:
    """Return what a periodic inspection does not show of its inspector (49 CFR 396.19).

    `qualified`: the inspector named is one of our people who was qualified on that day. Of a State's inspector the
    State keeps the evidence (396.19(b)).
    """
    program = facts.get("program")
    if not program:
        return [FactProblem("program", "inspection_program_missing")]
    if program == SELF_PROGRAM and not qualified:
        return [FactProblem("inspector", "inspector_not_qualified")]
    if program == AGENT_PROGRAM:
        return [FactProblem(name, "inspection_by_others_incomplete") for name in OF_AN_AGENT if not facts.get(name)]
    return []


def _problems(kind: DocumentKind, subject: Subject, facts: Mapping[str, object], today: date) -> "list[FactProblem]":
    found = []
    if subject.what not in kind.applies_to:
        found.append(FactProblem("kind", "document_not_of_subject"))
    state = str(facts.get("us_state", ""))
    if kind.states and state not in kind.states:
        found.append(FactProblem("us_state", "document_state_needed"))
    elif state and state not in STATES:
        found.append(FactProblem("us_state", "state_unknown"))
    if facts.get("program") and kind.rule.name != "months_from_start":
        found.append(FactProblem("program", "program_not_of_kind"))
    started, issued = _day(facts, "starts_on"), _day(facts, "issued_on")
    if kind.rule.name in _STARTS_WITH_AN_EVENT and started is not None and started > today:
        found.append(FactProblem("starts_on", "date_in_future"))
    if issued is not None and issued > today:
        found.append(FactProblem("issued_on", "date_in_future"))
    return found


def _day(facts: Mapping[str, object], name: str) -> date | None:
    value = facts.get(name)
    return value if isinstance(value, date) else None


class Successor(StrEnum):
    """What a document is to the current one of its kind and subject."""

    SAME_PERIOD = "same_period"
    LATER = "later"
    EARLIER = "earlier"


class Days(Protocol):
    starts_on: date | None
    ends_on: date | None


def successor(old: Days, starts_on: date | None, ends_on: date | None) -> Successor:
    """Return whether days are those of a current document, or of the one after or before it.

    The end decides, no end being later than any; where both ends are one day or there are none, the first day does.
    """
    days = [(_or_last(old.ends_on), _or_last(ends_on))]
    if old.starts_on is not None and starts_on is not None:
        days.append((old.starts_on, starts_on))
    for before, after in days:
        if after != before:
            return Successor.LATER if after > before else Successor.EARLIER
    return Successor.SAME_PERIOD


def _or_last(day: date | None) -> date:
    return date.max if day is None else day
