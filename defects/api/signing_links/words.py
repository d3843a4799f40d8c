"""Filling a signing link's answers. Decides nothing."""

from datetime import datetime

from django.utils.translation import gettext as _

from defects.api.defects.words import Body, decimal_or_none, person_body, unit_body
from defects.models import Defect, FirmConfirmation, Refusal, SigningLink
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.certifying import brake_scopes, system_of
from defects.selectors.defects.defects import evidence_of
from defects.selectors.defects.naming import what_of_defect
from defects.selectors.signing_links import link_state
from fleet.models import Carrier


def link_body(link: SigningLink, now: datetime) -> Body:
    """A link as its makers see it."""
    return {
        "id": link.pk,
        "state": link_state(link, now=now),
        "defects": sorted(defect.number for defect in link.defects.all()),
        "refusal": link.refusal_id,
        "made_by": person_body(link.made_by),
        "made_at": link.made_at,
        "expires_at": link.expires_at,
        "used_at": link.used_at,
        "revoked_at": link.revoked_at,
    }


def opened_body(link: SigningLink, catalogue: Catalogue, language: str) -> Body:
    """A link as the signer sees it."""
    defects = link.defects.select_related("unit").order_by("number")
    return {
        "carrier": Carrier.objects.values_list("name", flat=True).first() or "",
        "made_by": link.made_by.name,
        "expires_at": link.expires_at,
        "defects": [_defect(defect, catalogue, language) for defect in defects],
        "refusal": None if link.refusal is None else _refusal(link.refusal),
        "sentence": _("I did this work, and these faults are repaired.")
        if link.refusal is None
        else _("I looked at this unit, and found what I wrote."),
    }


def firm_body(row: FirmConfirmation) -> Body:
    """One confirmation of a firm."""
    return {
        "id": row.pk,
        "firm": row.firm,
        "how": row.how,
        "brake_evidence": row.brake_evidence,
        "confirmed_by": person_body(row.confirmed_by),
        "confirmed_at": row.confirmed_at,
    }


def _refusal(refusal: Refusal) -> Body:
    return {"unit": unit_body(refusal.unit), "reason": refusal.reason, "refused_at": refusal.refused_at}


def _defect(defect: Defect, catalogue: Catalogue, language: str) -> Body:
    system = system_of(catalogue.get(defect.point), defect.source)
    return {
        "defect": defect.number,
        "unit": unit_body(defect.unit),
        "what": what_of_defect(defect, catalogue, language),
        "found_at": defect.found_at,
        "value": decimal_or_none(defect.value),
        "limit": decimal_or_none(defect.limit_value),
        "unit_of_measure": defect.unit_of_measure,
        "evidence": str(evidence_of(defect, catalogue)),
        "of_brakes": bool(brake_scopes(system, counts_as_service_brake=defect.counts_as_service_brake)),
    }
