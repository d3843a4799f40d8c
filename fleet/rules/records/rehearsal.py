"""An audit rehearsal: which units are pulled, and the gaps that a unit's identity and documents show. Reads nothing."""

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from uuid import UUID

from fleet.rules.documents.states import DocumentState

WHEELED = frozenset({"tractor", "trailer"})
"""What 396.3 and 396.17 call vehicles; a cooling unit is a part of its trailer."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A unit that may be pulled: its key, its kind, and the name people call it by."""

    key: UUID
    kind: str
    name: str


@dataclass(frozen=True, slots=True)
class Gap:
    """What an auditor would write down: the code of its sentence with facts, the rule's section, where to look.

    With `shown` false it is no gap yet: the service cannot show it, so the document itself has to be at hand.
    """

    unit: UUID
    code: str
    section: str
    link: str
    facts: Mapping[str, object] = field(default_factory=dict)
    shown: bool = True


@dataclass(frozen=True, slots=True)
class Identity:
    """What is recorded of a unit, of the elements that 396.3(b)(1) lists."""

    unit: UUID
    kind: str
    make: str
    serial: str
    model_year: int | None
    tire_size: str


@dataclass(frozen=True, slots=True)
class Inspected:
    """A unit's current periodic inspection: its state today, its days, and whether a scan and the evidence are kept.

    `evidence` is whether the inspector named was qualified on that day; None where others keep it (State, agent).
    """

    unit: UUID
    state: DocumentState
    inspected_on: date | None
    last_day: date | None
    inspector: str
    scanned: bool
    evidence: bool | None


def draw(candidates: Sequence[Candidate], count: int, seed: int) -> list[Candidate]:
    """Pull `count` units, one of each kind first, the rest as they come. The same seed pulls the same units.

    Each unit has a rank of its own made of seed and name, so that a new unit displaces one pull at most.
    """
    ranked = sorted(candidates, key=lambda unit: hashlib.sha256(f"{seed}|{unit.name}".encode()).digest())
    first = list({unit.kind: unit for unit in reversed(ranked)}.values())
    first.sort(key=ranked.index)
    pulled = first[:count]
    pulled += [unit for unit in ranked if unit not in first][: count - len(pulled)]
    return pulled


def identity_gaps(unit: Identity) -> Iterator[Gap]:
    """Each element that is not recorded: make, serial number, year, tire size (396.3(b)(1))."""
    if unit.kind not in WHEELED:
        return
    elements = {
        "gap_make_missing": unit.make,
        "gap_serial_missing": unit.serial,
        "gap_year_missing": unit.model_year,
        "gap_tire_size_missing": unit.tire_size,
    }
    for code, recorded in elements.items():
        if not recorded:
            yield Gap(unit.unit, code, "49 CFR 396.3(b)(1)", f"/api/v1/units/{unit.unit}")


def inspection_gaps(unit: UUID, found: Inspected | None) -> Iterator[Gap]:
    """No inspection in the last twelve months (396.17(c)), no report at hand (396.21(b)), no evidence (396.19(b))."""
    link = f"/api/v1/documents?unit={unit}&kind=periodic_inspection"
    if found is None:
        yield Gap(unit, "gap_inspection_missing", "49 CFR 396.17(c)", link)
        return
    if found.state is DocumentState.EXPIRED:
        yield Gap(unit, "gap_inspection_expired", "49 CFR 396.17(c)", link, {"day": found.last_day})
    if not found.scanned:
        kept: dict[str, object] = {"day": found.inspected_on}
        yield Gap(unit, "gap_inspection_not_scanned", "49 CFR 396.21(b)(1)", link, kept, shown=False)
    if found.evidence is False:
        facts = {"inspector": found.inspector, "day": found.inspected_on}
        yield Gap(unit, "gap_inspector_evidence_missing", "49 CFR 396.19(b)", "/api/v1/qualifications", facts)
