"""The carrier's answer to an officer's report: signed by an official once every violation on it is corrected."""

from datetime import datetime
from uuid import UUID

from common.errors import Conflict
from common.versions import require_version
from defects.enums import DefectState
from defects.models import Defect, RoadsideInspection, RoadsideViolation
from defects.selectors.defects.naming import faults_named, numbers
from defects.selectors.roadside import roadside_state
from defects.services.holds.lifting import is_repaired
from defects.services.records.signatures import Signing, instant_of, refuse_another, signature_of
from defects.transitions import ROADSIDE_INSPECTIONS
from fleet.enums import SignaturePurpose
from fleet.models import Person
from fleet.services.records.edits import lock_row
from fleet.services.records.unit_of_work import unit_of_work


def answer_roadside_inspection(
    *, inspection_id: UUID, version: int | None, official_title: str, signing: Signing, actor: Person, now: datetime
) -> RoadsideInspection:
    """Certify that all violations noted are corrected: the official's signature, title and date (396.9(d)(3)(i)).

    A violation without an order may also have been entered in error. NotFound `roadside_inspection_unknown`;
    PreconditionFailed `version_changed`; Conflict `roadside_clean`, `violations_outstanding` (fact `defects`), those
    of the table; NotAllowed `sign_yourself`; Invalid `signed_in_future`.
    """
    units = RoadsideInspection.units.through.objects.filter(roadsideinspection_id=inspection_id)
    with unit_of_work(units.values_list("unit_id", flat=True), actor=actor, now=now) as work:
        inspection = lock_row(RoadsideInspection.objects.all(), inspection_id, "roadside_inspection_unknown")
        require_version(inspection, version)
        if inspection.is_clean:
            raise Conflict("roadside_clean")
        given = {"official_title": official_title.strip(), "signature": signing}
        ROADSIDE_INSPECTIONS.resolve("answer", roadside_state(inspection), actor.current_roles, given)
        refuse_another(signing, actor)
        instant = instant_of(signing, now, since=inspection.inspected_at)
        outstanding = _outstanding(inspection)
        if outstanding:
            raise Conflict("violations_outstanding", defects=numbers(outstanding), faults=faults_named(outstanding))
        content = {
            "roadside_inspection": inspection.pk,
            "report_number": inspection.report_number,
            "official": actor.name,
            "title": official_title,
        }
        signature = signature_of(
            signing, purpose=SignaturePurpose.ROADSIDE_ANSWER, content=content, actor=actor, now=now
        )
        signature.save(force_insert=True)
        inspection.answered_at, inspection.answered_by, inspection.answer_title = instant, actor, official_title
        inspection.answer_signature = signature
        inspection.version += 1
        inspection.save(update_fields=["answered_at", "answered_by", "answer_title", "answer_signature", "version"])
        for unit in sorted(work.units):
            work.record(
                unit,
                "roadside_answered",
                subject=inspection.pk,
                performed_at=instant,
                body={"report_number": inspection.report_number, "official": actor.name, "title": official_title},
            )
        return inspection


def _outstanding(inspection: RoadsideInspection) -> list[Defect]:
    lines = RoadsideViolation.objects.filter(inspection=inspection).select_related(
        "defect", "defect__current_certificate"
    )
    outstanding = {
        line.defect_id: line.defect
        for line in lines
        if not is_repaired(line.defect) and (line.out_of_service or line.defect.state != DefectState.ENTERED_IN_ERROR)
    }
    return list(outstanding.values())
