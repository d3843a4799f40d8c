"""What a walk-around writes into the history of each unit it concerns."""

from collections.abc import Iterable

from defects.models import Report, Walkaround
from defects.rules.walkarounds.assess import Assessment
from defects.selectors.words import names_of_defect
from defects.services.histories import SEEN, record_placed
from defects.services.walkarounds.corrections import Correction
from defects.services.walkarounds.findings import Found, unit_of
from fleet.services.records.unit_of_work import UnitOfWork


def record_walkaround(
    work: UnitOfWork,
    walkaround: Walkaround,
    assessed: Iterable[tuple[Report, Assessment]],
    found: Found,
    corrections: Iterable[Correction],
) -> None:
    """Note the reports, then what each found, raised, held and put right, on the unit it belongs to."""
    for report, assessment in assessed:
        if report.unit_id is None:
            continue
        work.record(
            report.unit_id,
            "report_signed",
            subject=report.pk,
            performed_at=walkaround.performed_at,
            body={
                "walkaround": walkaround.pk,
                "kind": walkaround.kind,
                "body_hash": walkaround.body_hash,
                "checks": len(assessment.judged),
                "findings": len(assessment.findings) + len(assessment.faults),
                "corrected": len(assessment.corrections),
                "queried": len(report.queried),
            },
        )
    _record_found(work, walkaround, found)
    for item in corrections:
        given = item.judged.given
        work.record(
            unit_of(item.report),
            "fault_corrected_on_the_spot",
            subject=item.report.pk if item.defect is None else item.defect.pk,
            performed_at=walkaround.performed_at,
            body={
                "point": given.point,
                "place": given.place,
                "what": item.what,
                "by": item.by,
                "photo": item.photo,
                "defect": None if item.defect is None else item.defect.number,
                "state": None if item.defect is None else item.defect.state,
                "certificate": None if item.defect is None else item.defect.current_certificate_id,
            },
        )


def _record_found(work: UnitOfWork, walkaround: Walkaround, found: Found) -> None:
    for sighting in found.sightings:
        defect = sighting.defect
        work.record(
            defect.unit_id,
            SEEN[sighting.how],
            subject=defect.pk,
            performed_at=walkaround.performed_at,
            body={
                "defect": defect.number,
                "fault": names_of_defect(defect),
                "point": defect.point,
                "place": defect.place,
                "text": sighting.note,
                "severity": sighting.severity,
                "bars": sighting.bars,
                "value": sighting.value,
                "unit_of_measure": sighting.unit_of_measure,
                "how": sighting.how,
            },
        )
    record_placed(work, found.holds, walkaround.performed_at)
