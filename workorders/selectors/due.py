"""What has to be done on units by a limit: repair that a certificate put off. Judges nothing."""

from uuid import UUID

from django.db.models import QuerySet

from defects.enums import CertificateKind, DefectState
from defects.models import Certificate


def standing_deferrals(unit: UUID) -> QuerySet[Certificate]:
    """The certificates in force by which a repair on the unit may wait until a limit."""
    return (
        Certificate.objects.filter(
            current_for__isnull=False,
            defect__unit=unit,
            defect__state=DefectState.DEFERRED,
            kind=CertificateKind.REPAIR_UNNECESSARY,
        )
        .select_related("defect")
        .order_by("limit_on", "pk")
    )
