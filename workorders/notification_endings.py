"""When what a notice of this app tells of has ended; from then on it is neither sent nor escalated. Tells nobody."""

from django.db.models import OuterRef

from fleet.enums import NotificationKind
from fleet.services.notifications.endings import NotificationEnding
from workorders.enums import ACTIVE_ORDER_STATES
from workorders.models import RepairOrder

ENDINGS = (
    NotificationEnding(
        NotificationKind.PROMISE_MOVED,
        RepairOrder.objects.filter(pk=OuterRef("subject_id")).exclude(state__in=ACTIVE_ORDER_STATES),
    ),
)
