"""What a kind of document is, and which documents a subject should have. The kinds are data in `fleet/catalogue`."""

from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated, Literal

from pydantic import AfterValidator, BeforeValidator, Field, StrictBool, StrictInt, ValidationInfo
from pydantic_core import PydanticCustomError

from common.data_files import CLOSED, Some, Text
from fleet.rules.documents.periods import PeriodRule
from fleet.rules.documents.states import DEFAULT_LEAD_DAYS, OVERDUE_EVERY_DAYS
from fleet.rules.records.retention import RECORD_KINDS

SUBJECTS = frozenset({"tractor", "trailer", "cooling_unit", "carrier", "person"})
_STATES = (
    "AL AK AZ AR CA CO CT DE DC FL GA HI ID IL IN IA KS KY LA ME MD MA MI MN MS MO MT NE NV NH NJ NM NY NC ND OH OK OR "
    "PA RI SC SD TN TX UT VT VA WA WV WI WY"
)
STATES = frozenset(_STATES.split())
LANGUAGES = ("en", "es")

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


def _once(given: object) -> object:
    if isinstance(given, list) and len({str(word) for word in given}) < len(given):
        raise PydanticCustomError("twice", "names something twice")
    return given


def _of(known: AbstractSet[str]) -> AfterValidator:
    def check(words: frozenset[str]) -> frozenset[str]:
        if not words <= known:
            raise PydanticCustomError("unknown", "does not know {words}", {"words": ", ".join(sorted(words - known))})
        return words

    return AfterValidator(check)


def _retention_rule(name: str) -> str:
    if name not in RECORD_KINDS:
        raise PydanticCustomError("keep", "no record kind {name} has a keeping rule", {"name": name})
    return name


def _falling(days: tuple[int, ...]) -> tuple[int, ...]:
    if any(later >= earlier for earlier, later in pairwise(days)):
        raise PydanticCustomError("falling", "must fall from the longest to the shortest, none twice")
    return days


def _in_every_language(text: Mapping[str, str]) -> Mapping[str, str]:
    if set(text) != set(LANGUAGES):
        raise PydanticCustomError("languages", "must name the document in each of en, es")
    return text


def _only_if_required(value: bool, info: ValidationInfo) -> bool:
    if value and not info.data.get("required", True):
        raise PydanticCustomError("bars", "only a required document can bar")
    return value


Days = Annotated[StrictInt, Field(ge=0)]
Words = Annotated[frozenset[str], BeforeValidator(_once)]


@dataclass(frozen=True, slots=True)
class Source:
    """Where a rule is written, and whether it was `read` there or is from `memory`."""

    __pydantic_config__ = CLOSED

    text: Text
    basis: Literal["read", "memory", "own"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DocumentKind:
    """One kind of document.

    It applies to subjects in `applies_to` that have every fact of `when`, and, where `states` is not empty, one
    document for each of those States that is crossed. `required`: its absence is listed as missing; `bars_clearance`:
    missing or run out it bars the unit (of a carrier or person: every unit asked for with it); without `missing_bars`
    only what has run out does, and what is missing is said as not known. `keep` names the record kind of
    `rules.records.retention` that says how long an ended one is kept. `overdue_for_days` is how long after its end a
    document reminds at all; None for as long as nothing replaces it.
    """

    __pydantic_config__ = CLOSED

    name: Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{1,46}[a-z0-9]$")]
    applies_to: Annotated[Words, Some, _of(SUBJECTS)]
    when: Annotated[Words, _of(CONDITIONS.keys())] = frozenset()
    states: Annotated[Words, _of(STATES)] = frozenset()
    rule: Annotated[PeriodRule, Field(validation_alias="period")]
    required: StrictBool
    bars_clearance: Annotated[StrictBool, AfterValidator(_only_if_required)]
    missing_bars: StrictBool
    lead_days: Annotated[tuple[Days, ...], Some, AfterValidator(_falling)] = DEFAULT_LEAD_DAYS
    overdue_every_days: Annotated[StrictInt, Field(ge=1)] = OVERDUE_EVERY_DAYS
    overdue_for_days: Days | None = None
    keep: Annotated[str, AfterValidator(_retention_rule)]
    source: Source
    text: Annotated[Mapping[str, Text], AfterValidator(_in_every_language)]


@dataclass(frozen=True, slots=True)
class DocumentNeed:
    """One document that a subject should have; `state` is empty for a document that serves everywhere."""

    kind: DocumentKind
    state: str = ""


def documents_needed(
    kinds: Iterable[DocumentKind],
    subject: str,
    facts: AbstractSet[str] = frozenset(),
    states: AbstractSet[str] | None = None,
) -> tuple[DocumentNeed, ...]:
    """The required documents of a subject with these facts of `CONDITIONS`, in the order of the catalogue.

    `states` are the States crossed (two letters); None stands for every State that any kind knows, so that the
    answer can be cut down later to the States of a trip.
    """
    needs: list[DocumentNeed] = []
    for kind in kinds:
        if not kind.required or subject not in kind.applies_to or not kind.when <= facts:
            continue
        if kind.states:
            crossed = kind.states if states is None else kind.states & states
            needs.extend(DocumentNeed(kind, state) for state in sorted(crossed))
        else:
            needs.append(DocumentNeed(kind))
    return tuple(needs)
