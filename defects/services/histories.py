"""What a unit's history says of a defect that was seen and of a hold that was placed, whoever found it."""

from collections.abc import Iterable, Mapping
from datetime import datetime

from defects.enums import SightingHow
from defects.models import Hold
from fleet.services.history import Ledger

SEEN: Mapping[str, str] = {
    SightingHow.NEW: "defect_reported",
    SightingHow.SEEN_AGAIN: "defect_seen_again",
    SightingHow.RAISED: "defect_raised",
    SightingHow.LATE: "defect_seen_late",
}
"""The kind of entry by how a defect was seen."""


def record_placed(ledger: Ledger, holds: Iterable[Hold], performed_at: datetime) -> None:
    """Note holds in the history of their units."""
    for hold in holds:
        ledger.record(
            hold.unit_id,
            "hold_placed",
            subject=hold.pk,
            performed_at=performed_at,
            actor=hold.placed_by_id,
            body={"hold": hold.number, "kind": hold.kind, "defect": hold.defect_id, "reason": hold.reason},
        )
