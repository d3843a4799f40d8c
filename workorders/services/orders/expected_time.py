"""When an order is expected to be done: written down to its defects, and whoever plans by it hears when it moves."""

from datetime import datetime
from uuid import UUID

from django.db import transaction
from django.db.models import OuterRef

from common.errors import Invalid
from defects.selectors.clearance.watched import askers_for
from defects.services.defects.repair import note_expected
from fleet.enums import NotificationKind, Role
from fleet.models import Person
from fleet.services.notifications.create import NotificationDraft, RecipientGroup, create_notifications, find_recipients
from fleet.services.notifications.endings import NotificationEnding
from workorders.enums import ACTIVE_ORDER_STATES
from workorders.models import RepairOrder
from workorders.services.orders.locked_order import LockedOrder, lock_order
from workorders.transitions import ORDER_TABLE


@transaction.atomic
def set_expected_time(
    *, order: UUID, version: int | None, expected_at: datetime | None, reason: str, actor: Person, now: datetime
) -> RepairOrder:
    """Promise a time, or move it. Invalid `expected_in_past`.

    Clearance reads the time on the defects. When it was promised otherwise before, dispatch gets a notification, and so
    does whoever asked whether the unit may roll on a trip that is not over.
    """
    locked = lock_order(order, version=version, actor=actor, now=now)
    ORDER_TABLE.resolve("set_expected_time", locked.order.state, locked.roles, {"expected_at": expected_at})
    if expected_at is not None and expected_at <= now:
        raise Invalid("expected_in_past", pointer="/expected_at")
    before = locked.order.expected_at
    locked.order.expected_at = expected_at
    note_expected(order=locked.order.pk, expected_at=expected_at)
    locked.note("repair_order_promised", locked.order, expected_at=expected_at, before_at=before, reason=reason)
    saved = locked.save("expected_at")
    if before is not None and expected_at is not None and expected_at != before:
        _tell(locked, before, expected_at)
    return saved


def _tell(locked: LockedOrder, before: datetime, expected_at: datetime) -> None:
    """Once for each move: the order's version names it."""
    dispatch = RecipientGroup(Role.DISPATCH)
    planners = [person.pk for person in find_recipients([dispatch], now=locked.work.now)[dispatch]]
    draft = NotificationDraft(
        kind=NotificationKind.PROMISE_MOVED,
        code="promise_moved",
        subject=locked.order.pk,
        step=f"version {locked.order.version}",
        people=list(dict.fromkeys([*planners, *askers_for(locked.order.unit_id, now=locked.work.now)])),
        facts={
            "unit": str(locked.order.unit),
            "order": locked.order.number,
            "before_at": before,
            "expected_at": expected_at,
        },
        unit=locked.order.unit_id,
    )
    create_notifications([draft], now=locked.work.now)


ENDINGS = (
    NotificationEnding(
        NotificationKind.PROMISE_MOVED,
        RepairOrder.objects.filter(pk=OuterRef("subject_id")).exclude(state__in=ACTIVE_ORDER_STATES),
    ),
)
