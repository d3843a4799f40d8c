"""What a walk-around writes into the history of each unit it concerns."""

from collections.abc import Iterable

from defects.models import Report, Walkaround
from defects.rules.walkarounds.assess import Assessment
from defects.services.walkarounds.corrections import Correction
from defects.services.walkarounds.findings import unit_of
from fleet.services.records.unit_of_work import UnitOfWork


def record_reports(work: UnitOfWork, walkaround: Walkaround, assessed: Iterable[tuple[Report, Assessment]]) -> None:
    """Note the signed reports, each on its unit; before what they found."""
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


def record_corrections(work: UnitOfWork, walkaround: Walkaround, corrections: Iterable[Correction]) -> None:
    """Note what was put right on the spot, on the unit it belongs to."""
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
