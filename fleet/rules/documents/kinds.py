"""What a kind of paper is, and which papers a subject should have. The kinds are data in `fleet/catalogue`."""

from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass

from fleet.rules.documents.periods import PeriodRule

SUBJECTS = frozenset({"tractor", "trailer", "cooling_unit", "carrier", "person"})

CONDITIONS: Mapping[str, str] = {
    "leased_in": "the unit is on lease from somebody else",
    "crosses_state_lines": "the tractor runs in two or more jurisdictions at over 26,000 lb, its trailer included",
    "taxable_55000_lb": "taxable gross weight of 55,000 lb or more, the usual trailer included",
    "for_hire": "the carrier carries for hire",
    "inspects_periodically": "the person carries out periodic inspections for the carrier",
    "answers_for_brakes": "the person answers for brake inspection, maintenance, service or repair",
    "opens_refrigerant_circuits": "the person opens refrigerant circuits",
    "drives": "the person drives units of the carrier",
}
"""The closed vocabulary of `when`: facts of a subject that make a kind apply to it."""


@dataclass(frozen=True, slots=True)
class Source:
    """Where a rule is written, and whether it was `read` there or is from `memory`."""

    text: str
    basis: str


@dataclass(frozen=True, slots=True)
class DocumentKind:
    """One kind of paper.

    It applies to subjects in `applies_to` that have every fact of `when`, and, where `states` is not empty, one paper
    for each of those States that is crossed. `required`: its absence is listed as missing; `bars_clearance`: missing
    or run out it bars the unit (of a carrier or person: every unit asked for with it); without `missing_bars` only what
    has run out does, and what is missing is said as not known. `keep` names the record kind
    of `rules.records.retention` that says how long an ended one is kept. `overdue_for_days` is how long after its end a
    paper reminds at all; None for as long as nothing replaces it.
    """

    name: str
    applies_to: frozenset[str]
    when: frozenset[str]
    states: frozenset[str]
    rule: PeriodRule
    required: bool
    bars_clearance: bool
    missing_bars: bool
    lead_days: tuple[int, ...]
    overdue_every_days: int
    overdue_for_days: int | None
    keep: str
    source: Source
    text: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class PaperNeed:
    """One paper that a subject should have; `state` is empty for a paper that serves everywhere."""

    kind: DocumentKind
    state: str = ""


def papers_needed(
    kinds: Iterable[DocumentKind],
    subject: str,
    facts: AbstractSet[str] = frozenset(),
    states: AbstractSet[str] | None = None,
) -> tuple[PaperNeed, ...]:
    """The required papers of a subject with these facts of `CONDITIONS`, in the order of the catalogue.

    `states` are the States crossed (two letters); None stands for every State that any kind knows, so that the
    answer can be cut down later to the States of a trip.
    """
    needs: list[PaperNeed] = []
    for kind in kinds:
        if not kind.required or subject not in kind.applies_to or not kind.when <= facts:
            continue
        if kind.states:
            crossed = kind.states if states is None else kind.states & states
            needs.extend(PaperNeed(kind, state) for state in sorted(crossed))
        else:
            needs.append(PaperNeed(kind))
    return tuple(needs)
