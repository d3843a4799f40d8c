"""What the shop writes down to defects: their order, when they are expected to be done, who worked, what was measured.

Called by workorders alone, inside its transaction, with the units locked. Writes no history: the shop's own says it.
"""

from collections.abc import Sequence
from uuid import UUID

from defects.models import Defect


def note_order(orders: Sequence[tuple[Defect, UUID, int]]) -> None:
    """Write the order (key and number) on each defect, row and instance, in one statement."""
    for defect, order, number in orders:
        defect.order_id, defect.order_number = order, number
    if orders:
        Defect.objects.bulk_update([defect for defect, _, _ in orders], ["order_id", "order_number"])
