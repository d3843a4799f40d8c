"""Saying that a certified repair did not hold: the defect is reported again, or comes back as a new one."""

from datetime import datetime
from uuid import UUID

from common.errors import Conflict
from defects.enums import OPEN_DEFECT_STATES, DefectState, Severity, SightingHow
from defects.models import Defect
from defects.rules.defects.judgement import judgement_of
from defects.selectors.defects.naming import faults_named
from defects.services.defects.locked import locked_defect, put_load_at_risk, record_defect, refuse_second_open_fault
from defects.services.defects.sightings import Sightings
from defects.services.holds.by_person import hold_if_grave
from defects.signals import defects_reported
from defects.transitions import DEFECTS
from fleet.models import Person
from fleet.services.records.unit_of_work import UnitOfWork

OPEN_OR_CERTIFIED = (*OPEN_DEFECT_STATES, DefectState.CERTIFIED)


def reopen(*, defect_id: UUID, version: int | None, reason: str, actor: Person, now: datetime) -> Defect:
    """Take a certified defect back to reported; its certificate stays on record and is superseded by the next one.

    A closed defect stays closed: a new one, linked as its comeback, is returned. The hold that belongs to it stands
    again. Conflict `fault_already_open` when the same fault was found again since.
    """
    with locked_defect(defect_id=defect_id, version=version, actor=actor, now=now) as (work, defect):
        closed = defect.state == DefectState.CLOSED
        work.move(DEFECTS, defect, "reopen", {"reason"} if reason.strip() else set())
        refuse_second_open_fault(defect, defect.point, defect.place)
        if closed and defect.comebacks.filter(state__in=OPEN_OR_CERTIFIED).exists():
            newest = defect.comebacks.order_by("-number")[0]
            raise Conflict("fault_already_open", defect=newest.number, faults=faults_named([newest]))
        record_defect(work, defect, "defect_reopened", {"reason": reason})
        if closed:
            found = _comeback(work, defect, reason)
        else:
            found, defect.current_certificate = defect, None
            work.save(defect, "state", "current_certificate")
        hold_if_grave(work, found, reason)
        put_load_at_risk(work, found)
        if found.severity != Severity.WATCH:
            defects_reported.send(Defect, defects=[found], work=work)
        return found


def _comeback(work: UnitOfWork, before: Defect, reason: str) -> Defect:
    """A new defect like the closed one, found now by whoever reopened it."""
    sightings = Sightings(work, at=work.now, catalogue=before.catalogue_id or "")
    defect = sightings.open(
        judgement_of(before),
        unit_id=before.unit_id,
        point=before.point,
        place=before.place,
        text=before.text,
        comeback_of=before.pk,
    )
    defect.unit = before.unit
    sightings.see(defect, SightingHow.NEW, note=reason)
    sightings.save(said={"how": "reopened"})
    return defect
