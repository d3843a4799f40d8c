"""What a fault is judged to be, and how a later finding or an officer's note changes it. The columns of a defect."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, fields, replace
from datetime import datetime
from decimal import Decimal
from operator import attrgetter
from typing import Protocol, TypeVar

from defects.enums import Authority, Bars, Listing, Severity, SightingHow, bars_rank, is_worse, rank, worst
from defects.rules.walkarounds.grading import gravity
from defects.rules.walkarounds.verdicts import Fault, Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgement:
    """How bad a fault is, by which rule, and what was measured: each field is the column of `Defect` of that name.

    A new column of a finding is a field here, set below from the check or the verdict. By its name alone it is carried
    on into the row, its sightings where `Sighting` has the column, its history, and to the rules of clearance.
    """

    severity: str
    bars: str
    authority: str
    listing: str
    graded: bool = True
    finding: str = ""
    value: Decimal | None = None
    unit_of_measure: str = ""
    limit: str = ""
    limit_value: Decimal | None = None
    regulation_severity: str = ""
    rule: str
    source: str = ""
    counts_as_service_brake: bool = False
    on_steering_axle: bool = False


COLUMNS = tuple(column.name for column in fields(Judgement))
_KNOWN_BY_RULE = {
    *("authority", "listing", "graded", "finding", "limit", "limit_value", "regulation_severity", "rule", "source"),
    *("counts_as_service_brake", "on_steering_axle"),
}
RECORDED = tuple(name for name in COLUMNS if name not in _KNOWN_BY_RULE)
"""What the history says of a sighting: all that does not follow from the catalogue."""
_NAMING = ("finding", "value", "unit_of_measure", "limit", "limit_value", "rule", "source")
_read: Callable[[object], tuple[object, ...]] = attrgetter(*COLUMNS)


def judgement_of(row: object) -> Judgement:
    """What a stored defect is judged to be."""
    return Judgement(**dict(zip(COLUMNS, _read(row), strict=True)))  # type: ignore[arg-type]  # the columns of the row


def judgement_of_verdict(
    verdict: Verdict,
    *,
    authority: Authority,
    listing: Listing,
    value: Decimal | None,
    unit_of_measure: str,
    severity: Severity | None = None,
) -> Judgement:
    """A finding of the catalogue, as grave as it says unless `severity` does; ValueError where neither says it."""
    grave = severity or verdict.severity
    if grave is None:
        msg = f"{verdict.rule_id} is no finding"
        raise ValueError(msg)
    return Judgement(
        severity=str(grave),
        bars=str(verdict.bars),
        authority=str(authority),
        listing=str(listing),
        finding=verdict.finding or "",
        value=value,
        unit_of_measure=unit_of_measure,
        limit=verdict.limit_id or "",
        limit_value=verdict.limit_value,
        regulation_severity=str(verdict.regulation_severity or ""),
        rule=verdict.rule_id,
        source="" if verdict.source is None else str(verdict.source),
        counts_as_service_brake=verdict.counts_as_service_brake,
        on_steering_axle=verdict.on_steering_axle,
    )


def judgement_of_check(verdict: Verdict) -> Judgement:
    """A finding of a walk-around, as its check was answered."""
    return judgement_of_verdict(
        verdict,
        authority=verdict.authority,
        listing=verdict.listing,
        value=verdict.value,
        unit_of_measure=verdict.unit_of_measure,
    )


UNGRADED = Judgement(
    severity=str(Severity.BEFORE_NEXT_USE),
    bars=str(Bars.MOVEMENT),
    authority=str(Authority.STATUTORY),
    listing=str(Listing.UNGRADED),
    graded=False,
    rule="free-text#ungraded",
)
"""A fault in the driver's words: taken for statutory and barring until a foreman has graded it."""


def named_by(known: Judgement, found: Judgement) -> Judgement:
    """What is worst of a fault names it: the finding, or the value with its limit, and the rule."""
    return replace(known, **{name: getattr(found, name) for name in _NAMING})


def raised_to(known: Judgement, found: Judgement) -> Judgement:
    """A graver finding of the same fault; no floor or flag of the one before is lost."""
    return replace(
        named_by(known, found),
        severity=found.severity,
        bars=found.bars,
        regulation_severity=_worst(known.regulation_severity, found.regulation_severity),
        counts_as_service_brake=known.counts_as_service_brake or found.counts_as_service_brake,
        on_steering_axle=known.on_steering_axle or found.on_steering_axle,
    )


def noted_by_officer(known: Judgement, noted: Judgement, *, names: bool) -> Judgement:
    """A standing fault that an officer noted: never milder than the note; `names` when that says worse of it."""
    raised = raised_to(known, noted)
    return replace(
        raised if names else named_by(raised, known),
        severity=_worst(known.severity, noted.severity),
        bars=noted.bars,
        authority=noted.authority,
        listing=noted.listing,
        graded=True,
    )


def is_raised(known: Judgement, found: Judgement) -> bool:
    """Whether the second is more severe than the first."""
    return is_worse(found.severity, known.severity)


def _worst(*severities: str) -> str:
    return str(worst(severity for severity in severities if severity) or "")


class Known(Protocol):
    """A stored defect: open as it is graded, or ended or put off by a certificate at `certified_at`."""

    @property
    def severity(self) -> str: ...
    @property
    def bars(self) -> str: ...
    @property
    def value(self) -> Decimal | None: ...
    @property
    def limit_value(self) -> Decimal | None: ...
    @property
    def certified_at(self) -> datetime | None: ...


K = TypeVar("K", bound=Known)


def worst_first(findings: Iterable[Verdict]) -> dict[Fault, list[Verdict]]:
    """The findings by fault, the gravest and furthest past its limit first."""
    by_fault: dict[Fault, list[Verdict]] = {}
    for found in sorted(findings, key=lambda found: (gravity(found), _how_far(found)), reverse=True):
        by_fault.setdefault(found.fault, []).append(found)
    return by_fault


def how_seen(
    found: Verdict, open_defect: K | None, repaired: K | None, performed_at: datetime
) -> tuple[SightingHow, K | None]:
    """Whether a finding is a new defect, or a sighting of which known one.

    A finding made before the certificate of the same fault is late: whoever certified had it before their eyes, so it
    belongs to the defect that was repaired or put off, and changes nothing. A milder finding never lowers an open
    defect.
    """
    certified = next((known for known in (repaired, open_defect) if _is_after(known, performed_at)), None)
    if certified is not None:
        return SightingHow.LATE, certified
    if open_defect is None:
        return SightingHow.NEW, None
    graver = gravity(found) > (rank(open_defect.severity), bars_rank(open_defect.bars))
    return SightingHow.RAISED if graver else SightingHow.SEEN_AGAIN, open_defect


def is_further(found: Verdict, known: Known) -> bool:
    """Whether a finding that is as grave as a defect was measured further past a limit than what names that."""
    as_grave = gravity(found) == (rank(known.severity), bars_rank(known.bars))
    return as_grave and _how_far(found) > _how_far(known)


def how_far_past(value: Decimal | None, limit_value: Decimal | None) -> Decimal | None:
    """How far a value lies from the limit it fails, in its own unit; None where nothing was measured past one."""
    return None if value is None or limit_value is None else abs(value - limit_value)


def _how_far(measured: Verdict | Known) -> Decimal:
    """How far past a limit, to be compared: what was not measured comes after what was."""
    past = how_far_past(measured.value, measured.limit_value)
    return Decimal(-1) if past is None else past


def _is_after(known: Known | None, performed_at: datetime) -> bool:
    """Whether a defect was certified after something was found."""
    return known is not None and known.certified_at is not None and known.certified_at > performed_at
