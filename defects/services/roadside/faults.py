"""The faults an officer noted become defects of their units, or join those that stand for the same fault."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from uuid import UUID

from django.db.models import Q

from common.transitions import SYSTEM
from defects.enums import OPEN_DEFECT_STATES, Bars, CertificateKind, DefectState, Listing, SightingHow, Standing
from defects.models import Defect, RoadsideInspection
from defects.rules.officers import SOURCE, NotedFault, severity_of_noted
from defects.rules.severity import is_worse, worst
from defects.rules.walkarounds.merging import how_far_past
from defects.rules.walkarounds.verdicts import Verdict
from defects.services.roadside.report import Violation
from defects.services.walkarounds.scene import COMEBACK_WINDOW
from defects.transitions import DEFECTS
from fleet.models import Person

Fault = tuple[UUID, str, str]
"""Unit, point and place."""

JOINED_FIELDS = (
    "listing",
    "severity",
    "regulation_severity",
    "bars",
    "standing",
    "finding",
    "rule",
    "value",
    "unit_of_measure",
    "limit",
    "limit_value",
    "graded",
    "counts_as_service_brake",
    "on_steering_axle",
    "state",
    "current_certificate",
    "roadside",
    "version",
)
"""What joining changes of a defect that stands already."""


@dataclass(frozen=True)
class Noted:
    """A line with its defect. One that was certified repaired after the inspection is `LATE` and stays repaired."""

    violation: Violation
    defect: Defect
    how: SightingHow


@dataclass
class KnownFaults:
    """The defects of the same faults: those that are open, and those that were repaired lately."""

    open: dict[Fault, Defect] = field(default_factory=dict)
    ended: dict[Fault, Defect] = field(default_factory=dict)


@dataclass(frozen=True)
class Noting:
    """What the lines of one report are noted by."""

    inspection: RoadsideInspection
    catalogue: str
    actor: Person
    now: datetime


def known_faults(lines: Iterable[Violation], inspected_at: datetime) -> KnownFaults:
    """The defects at the points that the lines name, in one statement."""
    named = [line for line in lines if line.point]
    repaired = Q(
        state__in=(DefectState.CERTIFIED, DefectState.CLOSED),
        current_certificate__kind=CertificateKind.REPAIRED,
        current_certificate__certified_at__gte=inspected_at - COMEBACK_WINDOW,
    )
    rows = (
        Defect.objects.filter(Q(state__in=OPEN_DEFECT_STATES) | repaired)
        .filter(unit__in={line.unit.pk for line in named}, point__in={line.point for line in named})
        .select_related("current_certificate")
        .order_by("current_certificate__certified_at", "pk")
    )
    known = KnownFaults()
    for defect in rows:
        faults = known.open if defect.state in OPEN_DEFECT_STATES else known.ended
        faults[defect.unit_id, defect.point, defect.place] = defect
    return known


def note_fault(line: Violation, verdict: Verdict | None, known: KnownFaults, noting: Noting) -> Noted:
    """Find or build the defect of one line, unsaved; a new one is known to the lines after it."""
    fault = (line.unit.pk, line.point, line.place)
    standing = known.open.get(fault) if line.point else None
    before = known.ended.get(fault) if line.point else None
    if standing is not None:
        return Noted(line, standing, _join(standing, line, verdict, noting.inspection))
    if before is not None and _repaired_since(before, noting.inspection.inspected_at):
        before.roadside, before.version = noting.inspection, before.version + 1
        return Noted(line, before, SightingHow.LATE)
    defect = _defect(line, verdict, noting)
    defect.comeback_of = before
    if line.point:
        known.open[fault] = defect
    return Noted(line, defect, SightingHow.NEW)


def severity_by_officer(line: Violation, verdict: Verdict | None = None) -> str:
    """What the fault of a line stops, our own grade of it included."""
    own = None if verdict is None else verdict.severity
    return str(severity_of_noted(NotedFault(own, line.out_of_service)))


def _repaired_since(defect: Defect, instant: datetime) -> bool:
    return defect.current_certificate is not None and defect.current_certificate.certified_at > instant


def _defect(line: Violation, verdict: Verdict | None, noting: Noting) -> Defect:
    severity = severity_by_officer(line, verdict)
    own = verdict is not None
    return Defect(
        unit=line.unit,
        point=line.point,
        place=line.place,
        text=line.text,
        finding=(verdict.finding or "") if verdict else "",
        standing=Standing.STATUTORY,
        severity=severity,
        bars=Bars.MOVEMENT,
        listing=Listing.OFFICER,
        value=line.value if own else None,
        unit_of_measure=line.unit_of_measure if own else "",
        limit=(verdict.limit_id or "") if verdict else "",
        limit_value=verdict.limit_value if verdict else None,
        regulation_severity=severity,
        rule=verdict.rule_id if verdict else "officer#violation",
        source=str(verdict.source) if verdict and verdict.source else _source(line),
        counts_as_service_brake=verdict is not None and verdict.counts_as_service_brake,
        on_steering_axle=verdict is not None and verdict.on_steering_axle,
        catalogue_id=noting.catalogue,
        roadside=noting.inspection,
        found_by=noting.actor,
        found_at=noting.inspection.inspected_at,
        recorded_at=noting.now,
    )


def _source(line: Violation) -> str:
    """The section that the officer named, and what gives the officer's word its force."""
    return f"{line.section}; {SOURCE}" if line.section.strip() else SOURCE


def _join(defect: Defect, line: Violation, verdict: Verdict | None, inspection: RoadsideInspection) -> SightingHow:
    """Raise a standing defect to what the officer's note makes of it; a deferral no longer covers it."""
    severity = severity_by_officer(line, verdict)
    how = SightingHow.RAISED if is_worse(severity, defect.severity) else SightingHow.SEEN_AGAIN
    named_anew = verdict is not None and _names(defect, line, verdict)
    defect.severity = str(worst((severity, defect.severity)) or severity)
    floors = [floor for floor in (defect.regulation_severity, severity) if floor]
    defect.regulation_severity = str(worst(floors) or severity)
    defect.bars, defect.standing, defect.graded = Bars.MOVEMENT, Standing.STATUTORY, True
    defect.listing = Listing.OFFICER
    if verdict is not None:
        defect.counts_as_service_brake = defect.counts_as_service_brake or verdict.counts_as_service_brake
        defect.on_steering_axle = defect.on_steering_axle or verdict.on_steering_axle
        if named_anew:
            defect.finding, defect.rule = verdict.finding or "", verdict.rule_id
            defect.value, defect.unit_of_measure = line.value, line.unit_of_measure
            defect.limit, defect.limit_value = verdict.limit_id or "", verdict.limit_value
    certificate = defect.current_certificate
    if certificate is not None and certificate.kind == CertificateKind.REPAIR_UNNECESSARY:
        defect.state = DEFECTS.resolve("end_deferral", defect.state, {SYSTEM}).target
        defect.current_certificate = None
    defect.roadside = inspection
    defect.version += 1
    return how


def _names(defect: Defect, line: Violation, verdict: Verdict) -> bool:
    """Whether the line says worse of the fault than what names its defect: a graver finding, or a value further off."""
    if verdict.severity is None or is_worse(verdict.severity, defect.severity):
        return verdict.severity is not None
    past, known = how_far_past(line.value, verdict.limit_value), how_far_past(defect.value, defect.limit_value)
    as_grave = not is_worse(defect.severity, verdict.severity)
    return as_grave and past is not None and (known is None or past > known)
