"""What a certificate says and what shows it: a value within the limits, a photo, a test repeated by another person."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from uuid import UUID

from django.db.models import Max

from common.errors import Invalid
from defects.enums import CertificateKind, Evidence, SightingHow
from defects.models import Certificate, Defect, Measurement, Photo, RepeatedTest, Sighting, SigningLink
from defects.selectors.defects.defects import evidence_of
from defects.services.defects.locked import catalogue_of
from defects.services.records.measurements import Measured, is_measured, record_measurement, refuse_past_limit
from defects.services.records.signatures import Signing
from fleet.services.records.unit_of_work import UnitOfWork


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


@dataclass(frozen=True)
class Proof:
    """What shows a certificate to be true, besides its photo."""

    measurement: Measurement | None = None
    test: RepeatedTest | None = None


def proof_of_repair(work: UnitOfWork, defect: Defect, statement: Statement) -> Proof:
    """Ask for what proves a repair.

    Invalid `certificate_without_evidence` (fact `evidence`), `nobody_worked` where nobody is known to have done the
    work, and those of `stored_photo` and `refuse_past_limit`.
    """
    kind = CertificateKind.REPAIRED
    named = statement.link is not None or statement.worked_by
    if not named and not _known_workers(defect, statement, kind):
        raise Invalid("nobody_worked", pointer="/worked_by")
    if is_measured(defect, catalogue_of(work)):
        measured = _measured_since(work, defect, statement)
        shown = Measured(measured.value, measured.unit_of_measure, measured.measured_at)
        refuse_past_limit(defect, shown, catalogue_of(work), work.day(measured.measured_at), "/measured")
        if statement.photo:
            stored_photo(defect, statement.photo)
        return Proof(measured)
    return Proof(test=shown_otherwise(work, defect, statement, kind))


def shown_otherwise(
    work: UnitOfWork, defect: Defect, statement: Statement, kind: CertificateKind
) -> RepeatedTest | None:
    """Ask for the photo or the repeated test that the defect wants where nothing is measured; the test."""
    evidence = evidence_of(defect, catalogue_of(work))
    if statement.photo:
        stored_photo(defect, statement.photo)
    elif evidence is Evidence.PHOTO:
        raise Invalid("certificate_without_evidence", pointer="/photo", evidence="photo")
    if evidence is not Evidence.REPEATED_TEST:
        return None
    did_it = {statement.signing.signer.pk, *_known_workers(defect, statement, kind)}
    test = passed_since(defect, but=did_it)
    if test is None:
        raise Invalid("certificate_without_evidence", pointer="/statement", evidence="repeated_test")
    return test


def passed_since(defect: Defect, *, but: Collection[UUID]) -> RepeatedTest | None:
    """The newest test that passed since the defect was last found, by none of those people."""
    passed = RepeatedTest.objects.filter(defect=defect, passed=True, tested_at__gt=last_found_at(defect))
    return passed.exclude(person__in=but).order_by("-tested_at", "-pk").first()


def workers_of(work: UnitOfWork, defect: Defect, statement: Statement, kind: CertificateKind) -> set[UUID]:
    """Whoever worked, signed or entered it; a certificate that takes another's place keeps that one's people."""
    return {statement.signing.signer.pk, work.actor.pk, *_known_workers(defect, statement, kind)}


def _known_workers(defect: Defect, statement: Statement, kind: CertificateKind) -> set[UUID]:
    workers = {*statement.worked_by, *defect.worked_by.values_list("pk", flat=True)}
    before = defect.current_certificate
    if before is not None and before.kind == kind:
        workers.update(before.worked_by.values_list("pk", flat=True))
    return workers


def stored_photo(defect: Defect, sha256: str) -> Photo:
    """The photo on the defect of that hash, come since the defect was last found: an older one shows the fault.

    Invalid `photo_not_stored`, `photo_before_found`.
    """
    photo = Photo.objects.select_related("received_from").filter(defect=defect, original=sha256).first()
    if photo is None:
        raise Invalid("photo_not_stored", pointer="/photo")
    found_at = last_found_at(defect)
    if photo.received_at <= found_at:
        raise Invalid("photo_before_found", pointer="/photo", found_at=found_at)
    return photo


def newest_measurement(work: UnitOfWork, defect: Defect, statement: Statement) -> Measurement | None:
    """The newest value at the defect's point and place since it was found, the one given with the certificate included.

    Invalid `measured_before_found`, `measured_in_future`.
    """
    if statement.measured is not None:
        enter_measurement(work, defect, statement.measured, statement.signing.signer.pk)
    return measured_since(defect)


def measured_since(defect: Defect) -> Measurement | None:
    """The newest value at the defect's point and place since it was last found."""
    series = Measurement.objects.filter(
        unit=defect.unit_id, point=defect.point, place=defect.place, measured_at__gt=last_found_at(defect)
    )
    return series.order_by("-measured_at", "-pk").first()


def last_found_at(defect: Defect) -> datetime:
    """When it was found, seen again, or found not to be repaired after all: no older value shows anything."""
    seen = Sighting.objects.filter(defect=defect).exclude(how=SightingHow.LATE).values_list("seen_at", flat=True)
    failed = RepeatedTest.objects.filter(defect=defect, passed=False).values_list("tested_at", flat=True)
    instants: list[datetime] = [defect.found_at, *seen.union(failed)]
    certificate = defect.current_certificate
    if certificate is None or certificate.kind != CertificateKind.REPAIRED:
        repaired = Certificate.objects.filter(defect=defect, kind=CertificateKind.REPAIRED)
        withdrawn = repaired.aggregate(last=Max("certified_at"))["last"]
        instants += [] if withdrawn is None else [withdrawn]
    return max(instants)


def enter_measurement(work: UnitOfWork, defect: Defect, measured: Measured, person: UUID) -> Measurement:
    """Enter a value into the series of the defect's unit, point and place; errors as above."""
    if measured.measured_at > work.now:
        raise Invalid("measured_in_future", pointer="/measured/measured_at")
    found_at = last_found_at(defect)
    if measured.measured_at <= found_at:
        raise Invalid("measured_before_found", pointer="/measured/measured_at", found_at=found_at)
    return record_measurement(defect, measured, person=person)


def _measured_since(work: UnitOfWork, defect: Defect, statement: Statement) -> Measurement:
    newest = newest_measurement(work, defect, statement)
    if newest is None:
        raise Invalid("certificate_without_evidence", pointer="/measured", evidence="measurement")
    return newest
