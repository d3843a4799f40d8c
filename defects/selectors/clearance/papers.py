"""Which papers a unit, a driver or the carrier should have, with the periods of those that are held."""

from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from datetime import date
from functools import cache
from typing import Any

from defects.rules.clearance import PaperFact
from fleet.enums import InspectionProgram
from fleet.rules.documents import PaperNeed, PeriodEnd, Span, load_document_kinds, papers_needed


def papers_of(subject: str, held: Sequence[dict[str, Any]], facts: AbstractSet[str]) -> tuple[PaperFact, ...]:
    """The required papers of a subject; none held of a kind leaves its periods empty."""
    return tuple(
        PaperFact(
            kind=need.kind.name,
            spans=tuple(
                span_of(row) for row in held if row["kind"] == need.kind.name and need.state in {"", row["state"]}
            ),
            source=need.kind.source.text,
            bars=need.kind.bars_clearance,
            needed_in=need.state,
        )
        for need in _needed(subject, frozenset(facts))
    )


def span_of(row: dict[str, Any]) -> Span:
    """The period of one document row."""
    return Span(
        starts_on=_day(row["starts_on"]) or _day(row["issued_on"]),
        end=PeriodEnd(
            by_day=_day(row["ends_on"]),
            by_month_end=_day(row["ends_on_month"]),
            month_end_is_the_rule=row["program"] == InspectionProgram.STATE,
        ),
    )


@cache
def _needed(subject: str, facts: frozenset[str]) -> tuple[PaperNeed, ...]:
    return papers_needed(load_document_kinds().values(), subject, facts)


def _day(text: str | None) -> date | None:
    return None if text is None else date.fromisoformat(text)
