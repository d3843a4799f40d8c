"""Officers' inspections for reading: the rows of a list, and one with its lines, defects and orders."""

from uuid import UUID

from django.db.models import Prefetch, Q, QuerySet

from common.errors import or_not_found
from defects.enums import HoldKind, RoadsideState
from defects.models import Hold, RoadsideInspection, RoadsideViolation


def roadside_rows() -> QuerySet[RoadsideInspection]:
    """Inspections with all that is shown of them, in four statements for a page."""
    lines = RoadsideViolation.objects.select_related("unit", "defect", "defect__current_certificate").order_by(
        "position"
    )
    orders = Hold.objects.filter(kind=HoldKind.OFFICER).select_related("unit").order_by("number")
    return RoadsideInspection.objects.select_related("recorded_by", "answered_by").prefetch_related(
        "units", Prefetch("violations", lines), Prefetch("holds", orders)
    )


def roadside_inspection(key: UUID) -> RoadsideInspection:
    """One inspection; NotFound `roadside_inspection_unknown`."""
    return or_not_found(roadside_rows().filter(pk=key).first(), "roadside_inspection_unknown")


def roadside_state(inspection: RoadsideInspection) -> str:
    """Clean, answer due or answered."""
    if inspection.is_clean:
        return RoadsideState.CLEAN
    return RoadsideState.ANSWER_DUE if inspection.answered_at is None else RoadsideState.ANSWERED


def in_state(rows: QuerySet[RoadsideInspection], state: str) -> QuerySet[RoadsideInspection]:
    conditions: dict[str, Q] = {
        RoadsideState.CLEAN: Q(is_clean=True),
        RoadsideState.ANSWER_DUE: Q(is_clean=False, answered_at__isnull=True),
        RoadsideState.ANSWERED: Q(answered_at__isnull=False),
    }
    return rows.filter(conditions[state])
