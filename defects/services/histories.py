"""What a unit's history says of a defect that was seen and of a hold that was placed, whoever found it."""

from collections.abc import Iterable, Mapping
from datetime import datetime

from defects.enums import SightingHow
from defects.models import Hold
from defects.selectors.words import names_of_defect
from fleet.services.records.unit_of_work import UnitOfWork

SEEN: Mapping[str, str] = {
    SightingHow.NEW: "defect_reported",
    SightingHow.SEEN_AGAIN: "defect_seen_again",
    SightingHow.RAISED: "defect_raised",
    SightingHow.LATE: "defect_seen_late",
}
"""The kind of entry by how a defect was seen."""


def record_placed(work: UnitOfWork, holds: Iterable[Hold], performed_at: datetime) -> None:
    """Note holds in the history of their units; what names the defect in one language is kept in all."""
    for hold in holds:
        names = {} if hold.defect is None else names_of_defect(hold.defect)
        is_name = hold.reason in names.values()
        work.record(
            hold.unit_id,
            "hold_placed",
            subject=hold.pk,
            performed_at=performed_at,
            body={
                "hold": hold.number,
                "kind": hold.kind,
                "defect": hold.defect_id,
                "reason": names if is_name else hold.reason,
                **({"fault": names} if names and not is_name else {}),
            },
        )
