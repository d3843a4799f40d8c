"""Faults ended by the driver: put right on the spot, or the driver's to end and answered fine.

Each that was open is certified by the driver as the carrier's agent.
"""

from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from common.measures import measured
from defects.enums import Bars, CertificateKind
from defects.models import Certificate, Defect, Report
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.walkarounds.assess import Assessment
from defects.rules.walkarounds.body import CorrectionBody
from defects.rules.walkarounds.verdicts import Fault, Verdict
from defects.services.certificates.certificates import new_certificate, review_will_close, store_certificates
from defects.services.records.measurements import is_measured
from defects.services.walkarounds.context import KnownDefects, WalkaroundContext
from defects.transitions import DEFECTS
from fleet.enums import SignatureMethod, SignaturePurpose
from fleet.models import Signature, Unit
from fleet.services.people.signatures import sign


@dataclass(frozen=True, slots=True)
class Correction:
    """One correction with the report it stands on, who did what, and the open defect it ends, if there was one."""

    report: Report
    verdict: Verdict
    by: str
    what: str
    photo: str
    defect: Defect | None


def to_measure(known: KnownDefects, unit: Unit, catalogue: Catalogue) -> frozenset[Fault]:
    """The open faults of a unit whose repair is shown by a measurement and by nothing less, as for the shop."""
    open_faults = known.open.get(unit.pk, {}).items()
    return frozenset(fault for fault, defect in open_faults if is_measured(defect, catalogue))


def corrections_of(assessed: Iterable[tuple[Report, Assessment]], known: KnownDefects) -> list[Correction]:
    """Every correction of a walk-around, each open defect at most once.

    A correction ends no defect that was found again later, or that the same report says is there. An answer without a
    fault is one where it ends a fault that is the driver's to end; what came to bar movement is no more the driver's.
    """
    found: list[Correction] = []
    active = set(known.seen_later)
    for report, assessment in assessed:
        if report.unit_id is None:
            continue
        still_there = {verdict.fault for verdict in assessment.findings}
        open_defects = known.open.get(report.unit_id, {})
        for verdict in assessment.judged:
            if not (verdict.is_correction or (open_defects and verdict.ends_fault)):
                continue
            defect = open_defects.get(verdict.fault)
            if defect is not None and (defect.pk in active or verdict.fault in still_there):
                defect = None
            if not verdict.is_correction and (defect is None or defect.bars == Bars.MOVEMENT):
                continue
            if defect is not None:
                active.add(defect.pk)
            found.append(Correction(report, verdict, *_done(report, verdict), defect))
    return found


def _done(report: Report, verdict: Verdict) -> tuple[str, str, str]:
    """By whom, what, and the photo of it, in the driver's language."""
    given = verdict.check
    if verdict.is_correction:
        done = given.correction or CorrectionBody.model_construct()
        return done.by, done.what, done.photo
    value = "" if verdict.accepted_value is None else measured(verdict.accepted_value, given.unit_of_measure)
    return report.walkaround.person.name, value or _("answered again, no fault"), ""


def certify_corrections(
    corrections: Iterable[Correction], signed: Signature, context: WalkaroundContext
) -> list[Certificate]:
    """Certify the open defects among the corrections; their holds stay until a foreman lifts them.

    `signed` is the driver's signature of the walk-around.

    A driver may sign the certification as the carrier's agent if satisfied that the repair was made (FMCSA guidance
    on 396.13, question 1).
    """
    made = [_certificate(item, item.defect, signed, context) for item in corrections if item.defect is not None]
    if not made:
        return []
    work = context.work
    store_certificates(made, [work.actor.pk])
    defects = [certificate.defect for certificate in made]
    for defect in defects:
        DEFECTS.follow(defect, "certify_on_the_spot")
        if not review_will_close(defect):
            DEFECTS.follow(defect, "close_on_certificate")
            defect.closed_at = work.now
        defect.version += 1
    Defect.objects.bulk_update(defects, ["state", "current_certificate", "closed_at", "version"])
    return made


def _certificate(item: Correction, defect: Defect, signed: Signature, context: WalkaroundContext) -> Certificate:
    statement = _("Corrected on the spot by %(by)s: %(what)s") % {"by": item.by, "what": item.what}
    content = {"defect": defect.pk, "kind": CertificateKind.REPAIRED, "statement": statement, "photo": item.photo}
    signature = sign(
        purpose=SignaturePurpose.CORRECTION,
        signer=context.work.actor,
        token_owner=context.entered_by,
        shown=statement,
        content=content,
        method=SignatureMethod(signed.method),
        device=signed.device,
        signed_at=signed.signed_at,
        offset_minutes=signed.offset_minutes,
        now=context.work.now,
    )
    return new_certificate(
        context.work,
        defect,
        CertificateKind.REPAIRED,
        statement,
        signature,
        at=context.performed_at,
        photo_sha256=item.photo,
        corrected_on_the_spot=True,
        report=item.report,
        supersedes=defect.current_certificate,
    )
