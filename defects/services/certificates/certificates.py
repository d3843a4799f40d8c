"""Certificates on defects: who may sign one, and the row itself. What proves it stands in `evidence`."""

from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from common.errors import Invalid, NotAllowed
from defects.enums import CertificateKind
from defects.models import Certificate, Defect
from defects.rules.certificates import brake_scopes, system_of
from defects.selectors.catalogue.unit_facts import scopes_of
from defects.services.defects.evidence import Proof, Statement, workers_of
from defects.services.defects.locked import point_of, record_defect
from defects.services.records.signatures import Signing, instant_of, refuse_another, signature_of
from fleet.enums import Role, SignaturePurpose
from fleet.models import Signature
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


def write_certificate(
    work: UnitOfWork, defect: Defect, statement: Statement, kind: CertificateKind, proof: Proof
) -> Certificate:
    """Write the signed certificate over the one in force before, if any, and make it the defect's; saves no defect."""
    signing = statement.signing
    before = Certificate.objects.filter(defect=defect, superseded_by__isnull=True).order_by("-certified_at").first()
    instant = certified_at(work, defect, signing)
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


def new_certificate(
    work: UnitOfWork,
    defect: Defect,
    kind: CertificateKind,
    statement: str,
    signature: Signature,
    *,
    at: datetime,
    **more: Any,
) -> Certificate:
    """A certificate signed at an instant, unsaved like its signature; `more` are further columns."""
    return Certificate(
        defect=defect,
        kind=kind,
        statement=statement,
        signature=signature,
        certified_at=at,
        recorded_at=work.now,
        **more,
    )


def store_certificates(certificates: Sequence[Certificate], workers: Collection[UUID]) -> None:
    """Store certificates with their signatures and who worked, and make each its defect's; saves no defect."""
    Signature.objects.bulk_create([certificate.signature for certificate in certificates])
    Certificate.objects.bulk_create(certificates)
    through = Certificate.worked_by.through
    through.objects.bulk_create(
        through(certificate_id=certificate.pk, person_id=person)
        for certificate in certificates
        for person in sorted(workers)
    )
    for certificate in certificates:
        certificate.defect.current_certificate = certificate
