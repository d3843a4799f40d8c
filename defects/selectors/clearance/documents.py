"""Which documents a unit, a driver or the carrier should have, with the periods of those that are held."""

from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from datetime import date
from functools import cache
from typing import Any

from defects.rules.clearance.unit_facts import DocumentFact
from fleet.enums import InspectionProgram
from fleet.rules.documents.kinds import DocumentNeed, documents_needed
from fleet.rules.documents.loading import load_document_kinds
from fleet.rules.documents.periods import PeriodEnd, stored_end
from fleet.rules.documents.states import Span


def documents_of(subject: str, held: Sequence[dict[str, Any]], facts: AbstractSet[str]) -> tuple[DocumentFact, ...]:
    """The required documents of a subject; none held of a kind leaves its periods empty."""
    return tuple(
        DocumentFact(
            kind=need.kind.name,
            spans=tuple(
                span_of(row) for row in held if row["kind"] == need.kind.name and need.state in {"", row["us_state"]}
            ),
            source=need.kind.source.text,
            bars=need.kind.bars_clearance,
            needed_in=need.state,
            missing_bars=need.kind.missing_bars,
        )
        for need in _needed(subject, frozenset(facts))
    )


def span_of(row: dict[str, Any]) -> Span:
    """The period of one document row, with the grace that its kind's rule adds."""
    kind = load_document_kinds().get(row["kind"])
    ends_on, ends_on_month = _day(row["ends_on"]), _day(row["ends_on_month"])
    under_state = row["program"] == InspectionProgram.STATE
    return Span(
        starts_on=_day(row["starts_on"]) or _day(row["issued_on"]),
        end=PeriodEnd(ends_on, ends_on_month, month_end_is_the_rule=under_state)
        if kind is None
        else stored_end(kind.rule, ends_on, ends_on_month, under_state_program=under_state),
    )


@cache
def _needed(subject: str, facts: frozenset[str]) -> tuple[DocumentNeed, ...]:
    return documents_needed(load_document_kinds().values(), subject, facts)


def _day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)
