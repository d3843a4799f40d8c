"""What several sections say alike of a defect and of a certificate. Reads nothing: the rows come with what is named."""

from collections.abc import Mapping

from django.utils.translation import gettext as _

from defects.messages.certificates import CERTIFICATE_KINDS
from defects.models import Certificate, DriverReview, FirmConfirmation
from fleet.selectors.records.unit_file.formatting import Words
from fleet.selectors.records.unit_file.references import person_record, signature_record
from fleet.selectors.records.unit_file.sections import Record


def certificate_record(certificate: Certificate) -> Mapping[str, object]:
    """One certificate with its signature; it comes with signature, measurement and the people who worked."""
    after = certificate.measurement
    return {
        "id": certificate.pk,
        "kind": certificate.kind,
        "statement": certificate.statement,
        "certified_at": certificate.certified_at,
        "signature": signature_record(certificate.signature),
        "worked_by": [person_record(who) for who in sorted(certificate.worked_by.all(), key=lambda who: who.pk)],
        "measured_after": None
        if after is None
        else {"value": after.value, "unit_of_measure": after.unit_of_measure, "measured_at": after.measured_at},
        "photo": certificate.photo_sha256,
        "firm": certificate.firm,
        "brake_evidence": certificate.brake_evidence,
        "repeated_test": None
        if certificate.repeated_test is None
        else {
            "person": person_record(certificate.repeated_test.person),
            "tested_at": certificate.repeated_test.tested_at,
        },
        "corrected_on_the_spot": certificate.corrected_on_the_spot,
        "agent_reason": certificate.agent_reason,
        "limit_on": certificate.limit_on,
        "limit_mi": certificate.limit_mi,
        "limit_engine_h": certificate.limit_engine_h,
        "supersedes": certificate.supersedes_id,
    }


def confirmation_record(word: FirmConfirmation) -> Mapping[str, object]:
    """Whose word there is that a firm is what it says; it comes with who gave it."""
    return {
        "by": person_record(word.confirmed_by),
        "at": word.confirmed_at,
        "how": word.how,
        "brake_evidence": word.brake_evidence,
    }


def review_record(review: DriverReview) -> Mapping[str, object]:
    """One review with its signature."""
    return {"id": review.pk, "reviewed_at": review.reviewed_at, "signature": signature_record(review.signature)}


def certified(record: Record, words: Words) -> str:
    """A certificate's kind and limit, with its signature below."""
    limits = {
        "limit_on": _("until {limit}"),
        "limit_mi": _("until {limit} miles"),
        "limit_engine_h": _("until {limit} engine hours"),
    }
    until = ", ".join(text.format(limit=record[name]) for name, text in limits.items() if record[name] is not None)
    kind = words.label(CERTIFICATE_KINDS, record["kind"])
    return f"{kind} {until}".rstrip() + f"\n{words.signature(record['signature'])}"
