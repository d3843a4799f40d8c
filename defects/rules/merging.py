"""Whether a finding is a new defect, a sighting of one that is open, or came late. Pure; nothing is looked up."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from uuid import UUID

from defects.rules.assess import Fault, Judged
from defects.rules.severity import bars_rank, rank
from defects.rules.vocabulary import Severity


class Merge(StrEnum):
    """What a finding means for its defect."""

    NEW = "new"
    SEEN_AGAIN = "seen_again"
    RAISED = "raised"
    LATE = "late"


@dataclass(frozen=True, slots=True)
class KnownDefect:
    """A defect of the same fault: open as it is graded, or ended or put off by a certificate at `certified_at`."""

    id: UUID
    severity: str
    bars: str
    certified_at: datetime | None = None


@dataclass(frozen=True, slots=True)
class Merged:
    """What becomes of one finding. `defect` is the known one it belongs to; `comeback_of` the repaired one before."""

    judged: Judged
    merge: Merge
    defect: UUID | None = None
    comeback_of: UUID | None = None

    @property
    def fault(self) -> Fault:
        """Point and place."""
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
    for judged in sorted(findings, key=_gravity, reverse=True):
        by_fault.setdefault(judged.fault, []).append(judged)
    merged = []
    for fault, (first, *rest) in by_fault.items():
        repaired, standing = ended.get(fault), open_defects.get(fault)
        certified = next((known for known in (repaired, standing) if _is_after(known, performed_at)), None)
        again = Merge.SEEN_AGAIN if certified is None else Merge.LATE
        if certified is not None:
            merged.append(Merged(first, Merge.LATE, certified.id))
        elif standing is not None:
            merged.append(Merged(first, Merge.RAISED if _is_graver(first, standing) else again, standing.id))
        else:
            merged.append(Merged(first, Merge.NEW, comeback_of=None if repaired is None else repaired.id))
        merged += [Merged(judged, again, merged[-1].defect) for judged in rest]
    return merged


def severity_of(judged: Judged) -> Severity:
    """The severity of a finding; ValueError for a verdict that carries none."""
    if judged.verdict.severity is None:
        msg = f"{judged.given.point} is no finding"
        raise ValueError(msg)
    return judged.verdict.severity


def _gravity(judged: Judged) -> tuple[int, int]:
    return rank(severity_of(judged)), bars_rank(judged.verdict.bars)


def _is_graver(judged: Judged, standing: KnownDefect) -> bool:
    """Whether a finding is worse than an open defect: more severe, or as severe and barring more."""
    return _gravity(judged) > (rank(standing.severity), bars_rank(standing.bars))


def _is_after(known: KnownDefect | None, performed_at: datetime) -> bool:
    """Whether a defect was certified after something was found."""
    return known is not None and known.certified_at is not None and known.certified_at > performed_at
