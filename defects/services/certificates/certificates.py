"""The one writer of certificates: the row with who worked, and whether a review is due for it. Signing is `certify`."""

from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from defects.enums import CertificateKind, Listing
from defects.models import Certificate, Defect, Sighting
from fleet.models import Signature
from fleet.services.records.unit_of_work import UnitOfWork


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


def review_will_close(defect: Defect) -> bool:
    """Whether a driver's review is due for a defect: a listed one that a driver reported. One statement at most."""
    if defect.listing == Listing.NOTED:
        return False
    return defect.report_id is not None or Sighting.objects.filter(defect=defect, report__isnull=False).exists()
