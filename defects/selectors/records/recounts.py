"""Defects, holds and certificates as they stand, to be compared with what the units' histories tell of them."""

from collections.abc import Iterator

from django.db.models import Q

from defects.models import Certificate, Defect, Hold
from defects.rules.records.recounts import CERTIFICATES, DEFECTS, HOLDS
from fleet.rules.records.recount import OnRecord
from fleet.selectors.records.recounts import Recounted, on_record


def defects_on_record() -> Iterator[OnRecord]:
    return on_record(DEFECTS, Defect.objects.all(), "unit_id", ("number", "state", "severity", "bars"))


def holds_on_record() -> Iterator[OnRecord]:
    """Every hold, active or lifted."""
    holds = Hold.objects.annotate(active=Q(lifted_at__isnull=True))
    return on_record(HOLDS, holds, "unit_id", ("number", "kind", "active"))


def certificates_on_record() -> Iterator[OnRecord]:
    """Every certificate, by the unit of its defect."""
    return on_record(CERTIFICATES, Certificate.objects.all(), "defect__unit_id", ("defect", "kind"))


RECOUNTED = (
    Recounted(DEFECTS, defects_on_record),
    Recounted(HOLDS, holds_on_record),
    Recounted(CERTIFICATES, certificates_on_record),
)
