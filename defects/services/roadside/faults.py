"""The faults an officer noted become defects of their units, or join those that stand for the same fault."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime
from uuid import UUID

from django.db.models import Q

from defects.enums import (
    OPEN_DEFECT_STATES,
    Authority,
    Bars,
    CertificateKind,
    DefectState,
    Listing,
    SightingHow,
    is_worse,
)
from defects.models import Defect, RoadsideInspection
from defects.rules.defects.judgement import (
    Judgement,
    how_far_past,
    is_raised,
    judgement_of,
    judgement_of_verdict,
    noted_by_officer,
)
from defects.rules.roadside import SOURCE, NotedFault, severity_of_noted
from defects.rules.walkarounds.verdicts import Verdict
from defects.services.defects.sightings import Sightings
from defects.services.roadside.report import Violation
from defects.services.walkarounds.context import COMEBACK_WINDOW

Fault = tuple[UUID, str, str]
"""Unit, point and place."""


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


def note_fault(
    line: Violation, verdict: Verdict | None, known: KnownFaults, sightings: Sightings, inspection: RoadsideInspection
) -> Noted:
    """Open or join the defect of one line; a new one is known to the lines after it."""
    fault = (line.unit.pk, line.point, line.place)
    open_defect = known.open.get(fault) if line.point else None
    before = known.ended.get(fault) if line.point else None
    noted = _judgement(line, verdict)
    if open_defect is not None:
        joined = noted_by_officer(judgement_of(open_defect), noted, names=_names(open_defect, line, verdict))
        how = SightingHow.RAISED if is_raised(judgement_of(open_defect), noted) else SightingHow.SEEN_AGAIN
        open_defect.roadside = inspection
        sightings.raise_to(open_defect, joined)
        _see(sightings, open_defect, line, how, joined)
        return Noted(line, open_defect, how)
    if before is not None and _repaired_since(before, inspection.inspected_at):
        before.roadside = inspection
        sightings.change(before, judgement_of(before))
        _see(sightings, before, line, SightingHow.LATE, noted)
        return Noted(line, before, SightingHow.LATE)
    defect = sightings.open(
        noted,
        unit_id=line.unit.pk,
        point=line.point,
        place=line.place,
        text=line.text,
        comeback_of=None if before is None else before.pk,
    )
    if line.point:
        known.open[fault] = defect
    _see(sightings, defect, line, SightingHow.NEW, noted)
    return Noted(line, defect, SightingHow.NEW)


def _see(sightings: Sightings, defect: Defect, line: Violation, how: SightingHow, judgement: Judgement) -> None:
    """What the officer saw of it: the condition and the value are the line's, whatever names the defect."""
    seen = replace(judgement, finding=line.finding, value=line.value, unit_of_measure=line.unit_of_measure)
    sightings.see(defect, how, seen, note=line.text)


def _repaired_since(defect: Defect, instant: datetime) -> bool:
    return defect.certified_at is not None and defect.certified_at > instant


def _judgement(line: Violation, verdict: Verdict | None) -> Judgement:
    """What the officer's note makes of a fault: statutory, barring, and as grave as the order or our own grade."""
    own = None if verdict is None else verdict.severity
    severity = severity_of_noted(NotedFault(own, line.out_of_service))
    section = f"{line.section}; {SOURCE}" if line.section.strip() else SOURCE
    if verdict is None:
        return Judgement(
            severity=severity,
            bars=Bars.MOVEMENT,
            authority=Authority.STATUTORY,
            listing=Listing.OFFICER,
            regulation_severity=severity,
            rule="officer#violation",
            source=section,
        )
    judged = judgement_of_verdict(
        verdict,
        authority=Authority.STATUTORY,
        listing=Listing.OFFICER,
        value=line.value,
        unit_of_measure=line.unit_of_measure,
        severity=severity,
    )
    return replace(judged, bars=Bars.MOVEMENT, regulation_severity=severity, source=judged.source or section)


def _names(defect: Defect, line: Violation, verdict: Verdict | None) -> bool:
    """Whether the line says worse of the fault than what names its defect: a graver finding, or a value further off."""
    if verdict is None:
        return False
    if verdict.severity is None or is_worse(verdict.severity, defect.severity):
        return verdict.severity is not None
    past, known = how_far_past(line.value, verdict.limit_value), how_far_past(defect.value, defect.limit_value)
    as_grave = not is_worse(defect.severity, verdict.severity)
    return as_grave and past is not None and (known is None or past > known)
