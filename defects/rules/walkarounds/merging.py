"""Whether a finding is a new defect, a sighting of one that is open, or came late. Pure; nothing is looked up."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from uuid import UUID

from defects.enums import SightingHow, bars_rank, rank
from defects.rules.walkarounds.assess import Fault, Judged
from defects.rules.walkarounds.grading import gravity


@dataclass(frozen=True, slots=True)
class KnownDefect:
    """A defect of the same fault: open as it is graded, or ended or put off by a certificate at `certified_at`.

    `past_by` as `how_far_past` gives it of the value and the limit that name it.
    """

    id: UUID
    severity: str
    bars: str
    certified_at: datetime | None = None
    past_by: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Merged:
    """What becomes of one finding. `defect` is the known one it belongs to; `comeback_of` the repaired one before.

    `names` of one that was seen again: no graver, but measured further past a limit, so it is what names the defect.
    """

    judged: Judged
    merge: SightingHow
    defect: UUID | None = None
    comeback_of: UUID | None = None
    names: bool = False

    @property
    def fault(self) -> Fault:
        return self.judged.fault


def merge_findings(
    findings: Sequence[Judged],
    open_defects: Mapping[Fault, KnownDefect],
    ended: Mapping[Fault, KnownDefect],
    performed_at: datetime,
) -> list[Merged]:
    """Decide for each finding of one unit's report, fault by fault, the most severe first.

    A finding made before the certificate of the same fault is late: whoever certified had it before their eyes, so it
    belongs to the defect that was repaired or put off, and changes nothing. A milder finding never lowers an open
    defect. A doubled answer belongs to the first of its kind.
    """
    by_fault: dict[Fault, list[Judged]] = {}
    for judged in sorted(findings, key=lambda judged: (gravity(judged.verdict), _how_far(judged)), reverse=True):
        by_fault.setdefault(judged.fault, []).append(judged)
    merged = []
    for fault, (first, *rest) in by_fault.items():
        repaired, open_defect = ended.get(fault), open_defects.get(fault)
        certified = next((known for known in (repaired, open_defect) if _is_after(known, performed_at)), None)
        again = SightingHow.SEEN_AGAIN if certified is None else SightingHow.LATE
        if certified is not None:
            merged.append(Merged(first, SightingHow.LATE, certified.id))
        elif open_defect is not None:
            graver = _is_graver(first, open_defect)
            further = not graver and _is_further(first, open_defect)
            merged.append(Merged(first, SightingHow.RAISED if graver else again, open_defect.id, names=further))
        else:
            merged.append(Merged(first, SightingHow.NEW, comeback_of=None if repaired is None else repaired.id))
        merged += [Merged(judged, again, merged[-1].defect) for judged in rest]
    return merged


def how_far_past(value: Decimal | None, limit_value: Decimal | None) -> Decimal | None:
    """How far a value lies from the limit it fails, in its own unit; None where nothing was measured past one."""
    return None if value is None or limit_value is None else abs(value - limit_value)


def _is_graver(judged: Judged, open_defect: KnownDefect) -> bool:
    """Whether a finding is worse than an open defect: more severe, or as severe and barring more."""
    return gravity(judged.verdict) > (rank(open_defect.severity), bars_rank(open_defect.bars))


def _how_far(judged: Judged) -> Decimal:
    """How far past a limit, for sorting: what was not measured comes after what was."""
    past = how_far_past(judged.value, judged.verdict.limit_value)
    return Decimal(-1) if past is None else past


def _is_further(judged: Judged, open_defect: KnownDefect) -> bool:
    """Whether a finding that is as grave as an open defect was measured further past a limit than what names that."""
    as_grave = gravity(judged.verdict) == (rank(open_defect.severity), bars_rank(open_defect.bars))
    return as_grave and _how_far(judged) > (Decimal(-1) if open_defect.past_by is None else open_defect.past_by)


def _is_after(known: KnownDefect | None, performed_at: datetime) -> bool:
    """Whether a defect was certified after something was found."""
    return known is not None and known.certified_at is not None and known.certified_at > performed_at
