"""What is due for review, and a review, as they are shown to a person."""

from collections.abc import Sequence
from datetime import datetime
from typing import Annotated, Self
from uuid import UUID

from pydantic import Field

from common import messages
from common.api.answers import Answer
from common.api.values import Word
from common.messages import Message
from defects.api.records import ActFlagAnswer
from defects.enums import CertificateKind, DefectState, Severity, WalkaroundKind
from defects.models import Certificate, Defect, DriverReview
from defects.rules.catalogue.catalogue import Catalogue
from defects.selectors.defects.naming import numbers, what_of_defect
from defects.selectors.reviews import DueReview
from fleet.api.people.short import PersonShort
from fleet.api.units.short import UnitShort
from fleet.models import Unit


class DueReportAnswer(Answer):
    """A report that no driver has reviewed yet."""

    id: UUID
    kind: Annotated[str, Word(WalkaroundKind)]
    driver: PersonShort
    performed_at: datetime


class DueCertificateAnswer(Answer):
    """A certificate that no driver has seen yet."""

    id: UUID
    defect: int
    kind: Annotated[str, Word(CertificateKind)]
    statement: str
    signed_by: PersonShort
    firm: str = Field(description="that signed by a link; empty for the carrier's own people")
    certified_at: datetime

    @classmethod
    def of_certificate(cls, certificate: Certificate, defect: Defect) -> Self:
        """Return a certificate with its signer and the number of its defect."""
        return cls.of(certificate, defect=defect.number, signed_by=certificate.signature.signer)


class DueDefectAnswer(Answer):
    """A defect that is not ended."""

    number: int
    what: str
    state: Annotated[str, Word(DefectState)]
    severity: Annotated[str, Word(Severity)]
    heard_from: str = Field(description="who told the driver of it, who did not find it himself; else empty")

    @classmethod
    def of_defect(cls, defect: Defect, catalogue: Catalogue, language: str) -> Self:
        return cls.of(defect, what=what_of_defect(defect, catalogue, language))


class DueUnitAnswer(Answer):
    """What is due for one unit. While `missing` names defects without a certificate, nobody may sign or drive."""

    unit: UnitShort
    says: str = Field(description="what to do, in one sentence")
    reports: list[DueReportAnswer]
    certificates: list[DueCertificateAnswer]
    defects: list[DueDefectAnswer] = Field(
        description="listed: each needs its certificate before the unit is driven again"
    )
    missing: list[int]
    noted: list[DueDefectAnswer] = Field(description="noted for the shop beside the list: nothing is due for them")

    @classmethod
    def of_unit(cls, unit: Unit, due: DueReview, catalogue: Catalogue, language: str) -> Self:
        by_certificate = {defect.current_certificate_id: defect for defect in due.defects}
        reports = [
            DueReportAnswer.of(report, kind=report.walkaround.kind, driver=report.walkaround.person)
            for report in due.reports
        ]
        return cls(
            unit=UnitShort.of(unit),
            says=_says(unit, due, language),
            reports=reports,
            certificates=[
                DueCertificateAnswer.of_certificate(item, by_certificate[item.pk]) for item in due.certificates
            ],
            defects=[DueDefectAnswer.of_defect(defect, catalogue, language) for defect in due.defects],
            missing=numbers(due.missing),
            noted=[DueDefectAnswer.of_defect(defect, catalogue, language) for defect in due.noted],
        )


class DueAnswer(Answer):
    """What the next driver of these units must review."""

    units: list[DueUnitAnswer]


class ReviewedUnitAnswer(Answer):
    """One unit's part of a review."""

    unit: UnitShort
    reports: list[UUID]
    certificates: list[UUID]


class ReviewAnswer(Answer):
    """One signed review."""

    id: UUID
    person: PersonShort
    reviewed_at: datetime
    recorded_at: datetime
    units: list[ReviewedUnitAnswer]
    flags: list[ActFlagAnswer]

    @classmethod
    def of_rows(cls, rows: Sequence[DriverReview], flags: list[ActFlagAnswer]) -> Self:
        """Return one signing act, from its rows with unit, person, reports and certificates."""
        units = [
            ReviewedUnitAnswer(
                unit=UnitShort.of(row.unit),
                reports=sorted(report.pk for report in row.reports.all()),
                certificates=sorted(certificate.pk for certificate in row.certificates.all()),
            )
            for row in rows
        ]
        return cls.of(rows[0], id=rows[0].signature_id, units=units, flags=flags)


def _says(unit: Unit, due: DueReview, language: str) -> str:
    """What keeps the next driver from signing, or what the signature is for."""
    if due.missing:
        code = "review_certificates_missing"
    elif due.reports or due.certificates:
        code = "review_to_sign"
    else:
        code = "review_not_due"
    facts = {
        "unit": str(unit),
        "missing": numbers(due.missing),
        "reports": len(due.reports),
        "certificates": len(due.certificates),
    }
    return messages.render(Message(code, facts), language)
