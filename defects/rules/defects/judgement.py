"""What a fault is judged to be, and how a later finding or an officer's note changes it. The columns of a defect."""

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from decimal import Decimal
from operator import attrgetter

from defects.enums import Authority, Bars, Listing, Severity, is_worse, worst
from defects.rules.walkarounds.assess import Judged
from defects.rules.walkarounds.verdicts import Verdict


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


def judgement_of_check(judged: Judged) -> Judgement:
    """A finding of a walk-around, as its check was answered."""
    return judgement_of_verdict(
        judged.verdict,
        authority=judged.authority,
        listing=judged.listing,
        value=judged.value,
        unit_of_measure=judged.unit_of_measure,
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
