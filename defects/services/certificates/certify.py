"""Certifying a defect, repaired or repair unnecessary: who may sign, the signed content, and what it ends."""

from datetime import datetime
from uuid import UUID

from common.clock import refuse_early
from common.errors import Conflict, Invalid, NotAllowed
from defects.enums import CertificateKind, DefectState
from defects.models import Certificate, Defect
from defects.rules.certificates import GradedFinding, brake_scopes, may_be_dismissed, system_of
from defects.selectors.catalogue.catalogue import scopes_of
from defects.selectors.defects.naming import faults_named
from defects.services.certificates.certificates import new_certificate, review_will_close, store_certificates
from defects.services.certificates.deferrals import refuse_limit
from defects.services.defects.evidence import (
    Proof,
    Statement,
    newest_measurement,
    proof_of_repair,
    shown_otherwise,
    workers_of,
)
from defects.services.defects.locked import locked_defect, on_active_order, point_of, record_defect
from defects.services.defects.remeasured import within_limits
from defects.services.records.signatures import Signing, instant_of, refuse_another, signature_of
from defects.signals import defects_certified
from defects.transitions import DEFECTS
from fleet.enums import Role, SignaturePurpose
from fleet.models import Person
from fleet.services.records.unit_of_work import UnitOfWork

CERTIFIERS = frozenset({Role.FOREMAN, Role.MECHANIC})


def refuse_signer(work: UnitOfWork, defect: Defect, statement: Statement) -> None:
    """Refuse who may not certify.

    Only whoever sends it signs, but for somebody of another firm by a link: NotAllowed `sign_yourself`. A driver may
    as the carrier's agent, with a reason (FMCSA guidance on 396.13, question 1): Invalid `agent_reason_needed`. The
    brakes ask for a qualification (396.25): NotAllowed `brake_qualification_needed`. Of an outsider it is on record
    here or kept by the firm (guidance on 396.25, question 4; 396.25(e)), whose name alone says nothing: Invalid
    `brake_evidence_needed`.
    """
    signing, actor = statement.signing, work.actor
    if statement.link is None:
        refuse_another(signing, actor)
        if CERTIFIERS.isdisjoint(actor.current_roles) and not statement.agent_reason.strip():
            raise Invalid("agent_reason_needed", pointer="/agent_reason")
    needed = brake_scopes(
        system_of(point_of(work, defect), defect.source), counts_as_service_brake=defect.counts_as_service_brake
    )
    if not needed or not needed.isdisjoint(scopes_of(signing.signer.pk, work.day(work.now))):
        return
    if statement.link is None:
        raise NotAllowed("brake_qualification_needed", needed=sorted(needed), signer=signing.signer.name)
    if not statement.brake_evidence.strip():
        raise Invalid("brake_evidence_needed", pointer="/brake_evidence")


def certified_at(work: UnitOfWork, defect: Defect, signing: Signing) -> datetime:
    """When it was signed; Invalid `signed_before_found` for an instant at which nobody knew of the defect."""
    instant = instant_of(signing, work.now)
    if instant < defect.found_at:
        raise Invalid("signed_before_found", pointer="/signature/signed_at", found_at=defect.found_at)
    return instant


def _refuse_before_proof(instant: datetime, proof: Proof) -> None:
    """Invalid `instant_too_early` for a certificate signed before what it rests on; a photo may come late."""
    if proof.measurement is not None:
        refuse_early(instant, proof.measurement.measured_at, "/signature/signed_at")
    if proof.test is not None:
        refuse_early(instant, proof.test.tested_at, "/signature/signed_at")


def write_certificate(
    work: UnitOfWork, defect: Defect, statement: Statement, kind: CertificateKind, proof: Proof
) -> Certificate:
    """Write the signed certificate over the one in force before, if any, and make it the defect's; saves no defect."""
    signing = statement.signing
    before = Certificate.objects.filter(defect=defect, superseded_by__isnull=True).order_by("-certified_at").first()
    instant = certified_at(work, defect, signing)
    _refuse_before_proof(instant, proof)
    content = {
        "defect": defect.pk,
        "kind": kind,
        "statement": statement.text,
        "photo": statement.photo,
        "measurement": None if proof.measurement is None else proof.measurement.pk,
        "repeated_test": None if proof.test is None else proof.test.pk,
        "until": [statement.until.on, statement.until.mi, statement.until.engine_h],
        "agent_reason": statement.agent_reason,
        "brake_evidence": statement.brake_evidence,
    }
    signature = signature_of(
        signing, purpose=SignaturePurpose.CERTIFICATE, content=content, actor=work.actor, now=work.now
    )
    certificate = new_certificate(
        work,
        defect,
        kind,
        statement.text,
        signature,
        at=instant,
        measurement=proof.measurement,
        repeated_test=proof.test,
        photo_sha256=statement.photo,
        agent_reason=statement.agent_reason if CERTIFIERS.isdisjoint(work.actor.current_roles) else "",
        link=statement.link,
        firm="" if statement.link is None else signing.signer.firm,
        brake_evidence=statement.brake_evidence,
        limit_on=statement.until.on,
        limit_mi=statement.until.mi,
        limit_engine_h=statement.until.engine_h,
        supersedes=before,
    )
    store_certificates([certificate], workers_of(work, defect, statement, kind))
    record_defect(
        work,
        defect,
        "certificate_signed",
        {
            "certificate": certificate.pk,
            "kind": kind,
            "statement": statement.text,
            "signer": ", ".join(filter(None, (signing.signer.name, certificate.firm))),
            "supersedes": None if before is None else before.pk,
            "as_agent": certificate.agent_reason,
            "firm": certificate.firm,
        },
        instant,
    )
    return certificate


def certify_repaired(
    *, defect_id: UUID, version: int | None, statement: Statement, actor: Person, now: datetime
) -> Certificate:
    """Sign that a defect was repaired. A defect that no driver reported closes at once, any other waits for a review.

    Raises as `locked_defect`, the table, `refuse_signer` and `proof_of_repair`, Conflict `defect_not_graded`.
    """
    with locked_defect(defect_id=defect_id, version=version, actor=actor, now=now) as (work, defect):
        return repaired(work, defect, statement)


def repaired(work: UnitOfWork, defect: Defect, statement: Statement) -> Certificate:
    """The same on a defect that is locked already; the caller ends the unit of work."""
    _begin(work, defect, "certify_repaired", statement)
    certificate = write_certificate(
        work, defect, statement, CertificateKind.REPAIRED, proof_of_repair(work, defect, statement)
    )
    if not review_will_close(defect):
        close(work, defect, "close_on_certificate")
    defect.worked_by.clear()
    _end(work, defect, certificate)
    return certificate


def certify_unnecessary(
    *, defect_id: UUID, version: int | None, statement: Statement, actor: Person, now: datetime
) -> Certificate:
    """Sign that repair is unnecessary until a limit (396.11(a)(3)(ii)): the defect is deferred, its order stays open.

    Conflict `dismissal_refused` for a finding that says do not move, or one past a regulation's limit without a new
    measurement within it; `on_officers_order`; Invalid `limit_needed` and the others of `refuse_limit`.
    """
    with locked_defect(defect_id=defect_id, version=version, actor=actor, now=now) as (work, defect):
        _begin(work, defect, "certify_unnecessary", statement)
        certificate = write_certificate(
            work, defect, statement, CertificateKind.REPAIR_UNNECESSARY, _dismissal(work, defect, statement)
        )
        _end(work, defect, certificate)
        return certificate


def supersede(
    *, defect_id: UUID, version: int | None, statement: Statement, actor: Person, now: datetime
) -> Certificate:
    """Put a better certificate of the same kind in the place of the one in force; the old one stays on record."""
    with locked_defect(defect_id=defect_id, version=version, actor=actor, now=now) as (work, defect):
        certified = defect.state == DefectState.CERTIFIED
        _begin(work, defect, "supersede", statement)
        kind = CertificateKind.REPAIRED if certified else CertificateKind.REPAIR_UNNECESSARY
        proof = proof_of_repair(work, defect, statement) if certified else _dismissal(work, defect, statement)
        certificate = write_certificate(work, defect, statement, kind, proof)
        _end(work, defect, certificate)
        return certificate


def close(work: UnitOfWork, defect: Defect, action: str) -> None:
    """End a defect that is certified repaired."""
    DEFECTS.follow(defect, action)
    defect.closed_at = work.now
    record_defect(work, defect, "defect_closed", {"how": action})


def _begin(work: UnitOfWork, defect: Defect, action: str, statement: Statement) -> None:
    work.move(DEFECTS, defect, action, statement.given)
    if not defect.graded:
        raise Conflict("defect_not_graded", defect=defect.number, faults=faults_named([defect]))
    refuse_signer(work, defect, statement)


def _dismissal(work: UnitOfWork, defect: Defect, statement: Statement) -> Proof:
    if on_active_order(defect):
        raise Conflict("on_officers_order", defect=defect.number, faults=faults_named([defect]))
    refuse_limit(work, defect, statement.until)
    test = shown_otherwise(work, defect, statement, CertificateKind.REPAIR_UNNECESSARY)
    newest = newest_measurement(work, defect, statement)
    within = newest is not None and within_limits(work, defect, newest)
    finding = GradedFinding(defect.severity, defect.bars, defect.regulation_severity)
    if not may_be_dismissed(finding, measured_within=within):
        raise Conflict(
            "dismissal_refused", severity=defect.severity, regulation=defect.regulation_severity, rule=defect.rule
        )
    return Proof(newest, test)


def _end(work: UnitOfWork, defect: Defect, certificate: Certificate) -> None:
    work.save(defect, "state", "current_certificate", "closed_at")
    defects_certified.send(Certificate, certificates=[certificate], work=work)
