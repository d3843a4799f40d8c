"""Loads at risk for reading: the rows of a list, and one with everything written down about it."""

from uuid import UUID

from django.db.models import Prefetch, QuerySet

from common.errors import or_not_found
from defects.models import LoadAtRisk, RiskEntry


def risk_rows() -> QuerySet[LoadAtRisk]:
    """Loads at risk with their trailer, load, defect, people and entries, in two statements for a page."""
    entries = RiskEntry.objects.select_related("person").order_by("at", "pk")
    return LoadAtRisk.objects.select_related(
        "trailer", "load", "defect", "defect__unit", "opened_by", "disposed_by"
    ).prefetch_related(Prefetch("entries", entries))


def load_at_risk(key: UUID) -> LoadAtRisk:
    """One load at risk; NotFound `load_at_risk_unknown`."""
    return or_not_found(risk_rows().filter(pk=key).first(), "load_at_risk_unknown")
