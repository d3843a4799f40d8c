"""When an order is expected to be done: written down to its defects, and whoever plans by it hears when it moves."""

from datetime import datetime
from uuid import UUID

from django.db.models import OuterRef

from common.errors import Invalid
from defects.selectors.clearance.planned_trips import askers_for
from defects.services.defects.repair import note_expected
from fleet.enums import NotificationKind, Role
from fleet.models import Person
from fleet.services.notifications.create import NotificationDraft, RecipientGroup, create_notifications, find_recipients
from fleet.services.notifications.endings import NotificationEnding
from workorders.enums import ACTIVE_ORDER_STATES
from workorders.models import RepairOrder
from workorders.services.orders.order_work import OrderWork, lock_order
from workorders.transitions import ORDER_TABLE


def set_expected_time(
    *, order: UUID, version: int | None, expected_at: datetime | None, reason: str, actor: Person, now: datetime
) -> RepairOrder:
    """Promise a time, or move it. Invalid `expected_in_past`.

    Clearance reads the time on the defects. When it was promised otherwise before, dispatch gets a notification, and so
    does whoever asked whether the unit may roll on a trip that is not over.
    """
    with lock_order(order, version=version, actor=actor, now=now) as work:
        work.move(ORDER_TABLE, work.order, "set_expected_time", {"expected_at": expected_at})
        if expected_at is not None and expected_at <= now:
            raise Invalid("expected_in_past", pointer="/expected_at")
        before = work.order.expected_at
        work.order.expected_at = expected_at
        note_expected(order=work.order.pk, expected_at=expected_at)
        work.note("expected_time_set", work.order, expected_at=expected_at, before_at=before, reason=reason)
        work.save(work.order, "expected_at")
        if before is not None and expected_at is not None and expected_at != before:
            _notify(work, before, expected_at)
        return work.order


def _notify(work: OrderWork, before: datetime, expected_at: datetime) -> None:
    """Once for each move: the order's version names it."""
    dispatch = RecipientGroup(Role.DISPATCH)
    planners = [person.pk for person in find_recipients([dispatch], now=work.now)[dispatch]]
    draft = NotificationDraft(
        kind=NotificationKind.EXPECTED_TIME_MOVED,
        code="expected_time_moved",
        subject=work.order.pk,
        step=f"version {work.order.version}",
        people=list(dict.fromkeys([*planners, *askers_for(work.order.unit_id, now=work.now)])),
        facts={
            "unit": str(work.order.unit),
            "order": work.order.number,
            "before_at": before,
            "expected_at": expected_at,
        },
        unit=work.order.unit_id,
    )
    create_notifications([draft], now=work.now)


ENDINGS = (
    NotificationEnding(
        NotificationKind.EXPECTED_TIME_MOVED,
        RepairOrder.objects.filter(pk=OuterRef("subject_id")).exclude(state__in=ACTIVE_ORDER_STATES),
    ),
)
