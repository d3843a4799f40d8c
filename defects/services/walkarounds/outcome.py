"""What follows from the judged and stored reports of a walk-around: defects, certificates, history, announcements."""

from collections.abc import Iterable, Sequence

from defects.models import Report, Walkaround
from defects.rules.walkarounds.assess import Assessment
from defects.selectors.walkarounds.receipts import Receipt
from defects.services.holds.notifications import notify_of_bars, notify_of_unknown_units
from defects.services.loads.loads_at_risk import open_loads_at_risk
from defects.services.walkarounds.corrections import Correction, certify_corrections, corrections_of
from defects.services.walkarounds.findings import store_findings, unit_of
from defects.services.walkarounds.scene import KnownDefects, Scene
from defects.signals import defects_certified, defects_reported
from fleet.services.records.unit_of_work import UnitOfWork


def bring_about(
    walkaround: Walkaround, assessed: Sequence[tuple[Report, Assessment]], known: KnownDefects, scene: Scene
) -> Receipt:
    """Store what was found and put right, note it in the history, announce it and tell of it.

    The caller has stored the reports, and ends the unit of work of the scene.
    """
    work, catalogue = scene.work, scene.catalogue
    record_reports(work, walkaround, assessed)
    found = store_findings(assessed, known, scene)
    corrections = corrections_of(assessed, known)
    certificates = certify_corrections(corrections, walkaround.signature, scene)
    record_corrections(work, walkaround, corrections)
    if found.to_repair:
        defects_reported.send(Walkaround, defects=found.to_repair, work=work, seen_at=scene.performed_at)
    if certificates:
        defects_certified.send(Walkaround, certificates=certificates, work=work)
    told = notify_of_bars(
        found.holds,
        [*found.new, *found.raised],
        units=scene.units.values(),
        catalogue=catalogue,
        site=walkaround.site,
        now=work.now,
        caused_by=walkaround.pk,
    )
    at_risk = open_loads_at_risk(
        found.seen,
        fresh={defect.pk for defect in (*found.new, *found.raised)},
        mounted=scene.companions.mounted,
        work=work,
        catalogue=catalogue,
        caused_by=walkaround.pk,
    )
    unknown = notify_of_unknown_units(
        assessed, catalogue=catalogue, site=walkaround.site, reporter=work.actor, now=work.now, caused_by=walkaround.pk
    )
    return Receipt(
        walkaround=walkaround,
        reports=[report for report, _ in assessed],
        sightings=found.sightings,
        holds=[*found.holds, *found.standing],
        certificates=certificates,
        told=[*told, *at_risk.told, *unknown],
        catalogue=catalogue,
    )


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
