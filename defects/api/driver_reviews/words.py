"""Filling what is owed a review, and a review, for a person. Decides nothing."""

from collections.abc import Sequence

from common import messages
from common.messages import Message
from defects.api.defects.words import Body, person_body, unit_body
from defects.models import Certificate, Defect, DriverReview
from defects.rules.catalogue.catalogue import Catalogue
from defects.selectors.defects.naming import numbers, what_of_defect
from defects.selectors.reviews import OwedReview
from fleet.models import Unit


def owed_body(unit: Unit, owed: OwedReview, catalogue: Catalogue, language: str) -> Body:
    """What is owed for one unit."""
    by_certificate = {defect.current_certificate_id: defect for defect in owed.defects}
    return {
        "unit": unit_body(unit),
        "says": _says(unit, owed, language),
        "reports": [
            {
                "id": report.pk,
                "kind": report.walkaround.kind,
                "driver": person_body(report.walkaround.person),
                "performed_at": report.performed_at,
            }
            for report in owed.reports
        ],
        "certificates": [_certificate(item, by_certificate[item.pk]) for item in owed.certificates],
        "defects": [_defect(defect, catalogue, language) for defect in owed.defects],
        "missing": numbers(owed.missing),
        "noted": [_defect(defect, catalogue, language) for defect in owed.noted],
    }


def _defect(defect: Defect, catalogue: Catalogue, language: str) -> Body:
    return {
        "number": defect.number,
        "what": what_of_defect(defect, catalogue, language),
        "state": defect.state,
        "severity": defect.severity,
    }


def _says(unit: Unit, owed: OwedReview, language: str) -> str:
    """What keeps the next driver from signing, or what the signature is for."""
    if owed.missing:
        code = "review_certificates_missing"
    elif owed.reports or owed.certificates:
        code = "review_to_sign"
    else:
        code = "review_not_owed"
    facts = {
        "unit": str(unit),
        "missing": numbers(owed.missing),
        "reports": len(owed.reports),
        "certificates": len(owed.certificates),
    }
    return messages.render(Message(code, facts), language)


def review_body(rows: Sequence[DriverReview]) -> Body:
    """One signing act, from its rows with unit, person, reports and certificates."""
    first = rows[0]
    return {
        "id": first.signature_id,
        "person": person_body(first.person),
        "reviewed_at": first.reviewed_at,
        "recorded_at": first.recorded_at,
        "units": [
            {
                "unit": unit_body(row.unit),
                "reports": sorted(report.pk for report in row.reports.all()),
                "certificates": sorted(certificate.pk for certificate in row.certificates.all()),
            }
            for row in rows
        ],
    }


def _certificate(certificate: Certificate, defect: Defect) -> Body:
    return {
        "id": certificate.pk,
        "defect": defect.number,
        "kind": certificate.kind,
        "statement": certificate.statement,
        "signed_by": person_body(certificate.signature.signer),
        "firm": certificate.firm,
        "certified_at": certificate.certified_at,
    }
