"""Which faults count as newly repaired: a driver answers their places one by one and not by signing for the leg."""

from datetime import datetime, timedelta

from django.db.models import Q

from common.sql_parameters import Parameter
from defects.enums import CertificateKind, DefectState
from defects.models import Defect

NEWLY_REPAIRED = timedelta(days=7)
"""Our own default: how long after its certificate a repaired place is looked at by itself, reviewed or not."""


def newly_repaired(since: datetime | Parameter) -> Q:
    """What finds the defects that were certified repaired since then, and those whose review is still due."""
    closed = Q(
        state=DefectState.CLOSED,
        current_certificate__kind=CertificateKind.REPAIRED,
        current_certificate__certified_at__gte=since,
    )
    return Q(state=DefectState.CERTIFIED) | closed


def is_newly_repaired(defect: Defect, at: datetime) -> bool:
    """The same of one defect that was read with its certificate."""
    certificate = defect.current_certificate
    if defect.state == DefectState.CERTIFIED:
        return True
    return (
        defect.state == DefectState.CLOSED
        and certificate is not None
        and certificate.kind == CertificateKind.REPAIRED
        and certificate.certified_at >= at - NEWLY_REPAIRED
    )
