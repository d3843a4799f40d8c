"""When what a notice of this app tells of has ended; from then on it is neither sent nor escalated. Tells nobody."""

from django.db.models import OuterRef

from fleet.enums import NoticeKind
from fleet.services.notifications.endings import NoticeEnding
from workorders.enums import STANDING_ORDER_STATES
from workorders.models import RepairOrder

ENDINGS = (
    NoticeEnding(
        NoticeKind.PROMISE_MOVED,
        RepairOrder.objects.filter(pk=OuterRef("subject_id")).exclude(state__in=STANDING_ORDER_STATES),
    ),
)
