"""Certificates on defects: who may sign one, what proves it, and the row itself. Which fits when is in `certify`."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from uuid import UUID

from django.db.models import Max

from common.errors import Invalid, NotAllowed
from defects.enums import CertificateKind, SightingHow
from defects.models import Certificate, Defect, Measurement, Sighting, SigningLink
from defects.rules.certifying import brake_scopes, evidence_for
from defects.rules.vocabulary import Evidence
from defects.selectors.defects import is_photo_of
from defects.selectors.facts import scopes_of
from defects.services.cases import Case
from defects.services.shop import Measured, is_measured, refuse_past_limit
from defects.services.signing import Signing, instant_of, refuse_another, signature_of
from fleet.enums import Role, SignaturePurpose

CERTIFIERS = frozenset({Role.FOREMAN, Role.MECHANIC})


@dataclass(frozen=True)
class Until:
    """How long repair is unnecessary: a last day, an odometer total in miles, a total of engine hours."""

    on: date | None = None
    mi: Decimal | None = None
    engine_h: Decimal | None = None


@dataclass(frozen=True)
class Statement:
    """A certificate as given. `measured` is entered into the unit's series, `photo` must be stored on the defect.

    `agent_reason` is why a driver signs as the carrier's agent. `worked_by` are people who did the work besides those
    whom the shop wrote down. `link` is the one by which somebody of another firm signs, `brake_evidence` who at that
    firm keeps the evidence of the signer's qualification for brakes.
    """

    text: str
    signing: Signing
    measured: Measured | None = None
    photo: str = ""
    agent_reason: str = ""
    until: Until = field(default_factory=Until)
    worked_by: Sequence[UUID] = ()
    link: SigningLink | None = None
    brake_evidence: str = ""

    @property
    def given(self) -> frozenset[str]:
        """The fields that the transition table may ask for."""
        return frozenset({"signature", *(("statement",) if self.text.strip() else ())})


def refuse_signer(case: Case, statement: Statement) -> None:
    """Refuse who may not certify.

    Only whoever sends it signs, but for somebody of another firm by a link: NotAllowed `sign_yourself`. A driver may
    as the carrier's agent, with a reason (FMCSA guidance on 396.13, question 1): Invalid `agent_reason_needed`. The
    brakes ask for a qualification (396.25): NotAllowed `brake_qualification_needed`. Of an outsider it is on record
    here or kept by the firm (guidance on 396.25, question 4; 396.25(e)), whose name alone says nothing: Invalid
    `brake_evidence_needed`.
    """
    signing, actor = statement.signing, case.actor
    if statement.link is None:
        refuse_another(signing, actor)
        if CERTIFIERS.isdisjoint(actor.current_roles) and not statement.agent_reason.strip():
            raise Invalid("agent_reason_needed", pointer="/agent_reason")
    needed = brake_scopes(case.point, counts_as_service_brake=case.defect.counts_as_service_brake)
    if not needed or not needed.isdisjoint(scopes_of(signing.signer.pk, case.day(case.now))):
        return
    if statement.link is None:
        raise NotAllowed("brake_qualification_needed", needed=sorted(needed), signer=signing.signer.name)
    if not statement.brake_evidence.strip():
        raise Invalid("brake_evidence_needed", pointer="/brake_evidence")


def proof_of_repair(case: Case, statement: Statement) -> Measurement | None:
    """Ask for what proves a repair; the measurement where that is it.

    Invalid `certificate_without_evidence` (fact `evidence`), `photo_not_stored`, and those of `refuse_past_limit`.
    """
    proof = None
    if is_measured(case.defect, case.catalogue):
        proof = _measured_since(case, statement)
        shown = Measured(proof.value, proof.unit_of_measure, proof.measured_at)
        refuse_past_limit(case.defect, shown, case.catalogue, case.day(proof.measured_at), "/measured")
    elif evidence_for(case.point) is Evidence.PHOTO and not statement.photo:
        raise Invalid("certificate_without_evidence", pointer="/photo", evidence="photo")
    refuse_unknown_photo(case, statement)
    return proof


def refuse_unknown_photo(case: Case, statement: Statement) -> None:
    """Invalid `photo_not_stored` for a photo that is not on the defect yet."""
    if statement.photo and not is_photo_of(case.defect, statement.photo):
        raise Invalid("photo_not_stored", pointer="/photo")


def newest_measurement(case: Case, statement: Statement) -> Measurement | None:
    """The newest value at the defect's point and place since it was found, the one given with the certificate included.

    Invalid `measured_before_found`, `measured_in_future`.
    """
    if statement.measured is not None:
        enter_measurement(case, statement.measured, statement.signing.signer.pk)
    return measured_since(case.defect)


def measured_since(defect: Defect) -> Measurement | None:
    """The newest value at the defect's point and place since it was last found."""
    series = Measurement.objects.filter(
        unit=defect.unit_id, point=defect.point, place=defect.place, measured_at__gt=last_found_at(defect)
    )
    return series.order_by("-measured_at", "-pk").first()


def last_found_at(defect: Defect) -> datetime:
    """When it was found, seen again, or found not to be repaired after all: no older value shows anything."""
    seen = Sighting.objects.filter(defect=defect).exclude(how=SightingHow.LATE).aggregate(last=Max("seen_at"))["last"]
    instants: list[datetime] = [defect.found_at, *([] if seen is None else [seen])]
    certificate = defect.current_certificate
    if certificate is None or certificate.kind != CertificateKind.REPAIRED:
        repaired = Certificate.objects.filter(defect=defect, kind=CertificateKind.REPAIRED)
        withdrawn = repaired.aggregate(last=Max("certified_at"))["last"]
        instants += [] if withdrawn is None else [withdrawn]
    return max(instants)


def enter_measurement(case: Case, measured: Measured, person: UUID) -> Measurement:
    """Enter a value into the series of the defect's unit, point and place; errors as above."""
    if measured.measured_at > case.now:
        raise Invalid("measured_in_future", pointer="/measured/measured_at")
    found_at = last_found_at(case.defect)
    if measured.measured_at <= found_at:
        raise Invalid("measured_before_found", pointer="/measured/measured_at", found_at=found_at)
    return Measurement.objects.create(
        unit_id=case.defect.unit_id,
        point=case.defect.point,
        place=case.defect.place,
        value=measured.value,
        unit_of_measure=measured.unit_of_measure,
        measured_at=measured.measured_at,
        person_id=person,
    )


def certified_at(case: Case, signing: Signing) -> datetime:
    """When it was signed; Invalid `signed_before_found` for an instant at which nobody knew of the defect."""
    instant = instant_of(signing, case.now)
    if instant < case.defect.found_at:
        raise Invalid("signed_before_found", pointer="/signature/signed_at", found_at=case.defect.found_at)
    return instant


def write_certificate(
    case: Case, statement: Statement, kind: CertificateKind, measurement: Measurement | None
) -> Certificate:
    """Write the signed certificate over the one in force before, if any, and make it the defect's; saves no defect."""
    defect, signing = case.defect, statement.signing
    before = Certificate.objects.filter(defect=defect, superseded_by__isnull=True).order_by("-certified_at").first()
    instant = certified_at(case, signing)
    content = {
        "defect": defect.pk,
        "kind": kind,
        "statement": statement.text,
        "photo": statement.photo,
        "measurement": None if measurement is None else measurement.pk,
        "until": [statement.until.on, statement.until.mi, statement.until.engine_h],
        "agent_reason": statement.agent_reason,
        "brake_evidence": statement.brake_evidence,
    }
    signature = signature_of(
        signing, purpose=SignaturePurpose.CERTIFICATE, content=content, actor=case.actor, now=case.now
    )
    signature.save(force_insert=True)
    certificate = Certificate.objects.create(
        defect=defect,
        kind=kind,
        statement=statement.text,
        signature=signature,
        measurement=measurement,
        photo_sha256=statement.photo,
        agent_reason=statement.agent_reason if CERTIFIERS.isdisjoint(case.actor.current_roles) else "",
        link=statement.link,
        firm="" if statement.link is None else signing.signer.firm,
        brake_evidence=statement.brake_evidence,
        limit_on=statement.until.on,
        limit_mi=statement.until.mi,
        limit_engine_h=statement.until.engine_h,
        supersedes=before,
        certified_at=instant,
        recorded_at=case.now,
    )
    workers = Certificate.worked_by.through
    workers.objects.bulk_create(
        workers(certificate_id=certificate.pk, person_id=person) for person in sorted(_workers(case, statement, kind))
    )
    defect.current_certificate = certificate
    case.record(
        "certificate_signed",
        {
            "certificate": certificate.pk,
            "kind": kind,
            "statement": statement.text,
            "signer": signing.signer.name,
            "supersedes": None if before is None else before.pk,
            "as_agent": certificate.agent_reason,
            "firm": certificate.firm,
        },
        instant,
    )
    return certificate


def _workers(case: Case, statement: Statement, kind: CertificateKind) -> set[UUID]:
    """Whoever worked, signed or entered it; a certificate that takes another's place keeps that one's people."""
    workers = {statement.signing.signer.pk, case.actor.pk, *statement.worked_by}
    workers.update(case.defect.worked_by.values_list("pk", flat=True))
    before = case.defect.current_certificate
    if before is not None and before.kind == kind:
        workers.update(before.worked_by.values_list("pk", flat=True))
    return workers


def _measured_since(case: Case, statement: Statement) -> Measurement:
    newest = newest_measurement(case, statement)
    if newest is None:
        raise Invalid("certificate_without_evidence", pointer="/measured", evidence="measurement")
    return newest
