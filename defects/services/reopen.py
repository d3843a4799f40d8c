"""Saying that a certified repair did not hold: the defect is reported again, or comes back as a new one."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from common.errors import Conflict
from defects.enums import OPEN_DEFECT_STATES, DefectState, Severity, SightingHow
from defects.models import Defect, Sighting
from defects.selectors.words import faults_named
from defects.services.cases import Case, hold_if_grave, open_case, put_load_at_risk, refuse_second_open_fault
from defects.signals import defects_reported
from fleet.models import Person

OPEN_OR_CERTIFIED = (*OPEN_DEFECT_STATES, DefectState.CERTIFIED)
COPIED = (
    "unit_id",
    "point",
    "place",
    "text",
    "finding",
    "standing",
    "severity",
    "bars",
    "listing",
    "value",
    "unit_of_measure",
    "limit",
    "limit_value",
    "regulation_severity",
    "rule",
    "source",
    "counts_as_service_brake",
    "on_steering_axle",
    "catalogue_id",
)
"""What a fault that comes back has in common with the one before."""


@transaction.atomic
def reopen(*, defect_id: UUID, version: int | None, reason: str, actor: Person, now: datetime) -> Defect:
    """Take a certified defect back to reported; its certificate stays on record and is superseded by the next one.

    A closed defect stays closed: a new one, linked as its comeback, is returned. The hold that belongs to it stands
    again. Conflict `fault_already_open` when the same fault was found again since.
    """
    case = open_case(defect_id=defect_id, version=version, actor=actor, now=now)
    closed = case.defect.state == DefectState.CLOSED
    case.move("reopen", {"reason"} if reason.strip() else set())
    refuse_second_open_fault(case.defect, case.defect.point, case.defect.place)
    if closed and case.defect.comebacks.filter(state__in=OPEN_OR_CERTIFIED).exists():
        newest = case.defect.comebacks.order_by("-number")[0]
        raise Conflict("fault_already_open", defect=newest.number, faults=faults_named([newest]))
    case.record("defect_reopened", {"reason": reason})
    if closed:
        case.defect = _comeback(case, reason)
    else:
        case.defect.current_certificate = None
        case.save("current_certificate")
    hold_if_grave(case, reason)
    put_load_at_risk(case)
    if case.defect.severity != Severity.WATCH:
        defects_reported.send(Defect, defects=[case.defect], ledger=case.ledger, actor=actor, now=now)
    return case.finish()


def _comeback(case: Case, reason: str) -> Defect:
    """A new defect like the closed one, found now by whoever reopened it."""
    before = case.defect
    defect = Defect.objects.create(
        **{name: getattr(before, name) for name in COPIED},
        found_by=case.actor,
        found_at=case.now,
        recorded_at=case.now,
        comeback_of=before,
    )
    defect.unit = before.unit
    Sighting.objects.create(
        defect=defect,
        person=case.actor,
        how=SightingHow.NEW,
        severity=defect.severity,
        bars=defect.bars,
        finding=defect.finding,
        note=reason,
        seen_at=case.now,
        recorded_at=case.now,
    )
    case.defect = defect
    said = {"point": defect.point, "place": defect.place, "text": reason, "how": "reopened"}
    case.record("defect_reported", {**said, "severity": defect.severity, "bars": defect.bars})
    return defect
