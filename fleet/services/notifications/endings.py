"""Which notifications still hold: what has ended since is not announced as active. Sends and escalates nothing.

A kind without an ending tells of what happened, and holds for good. Each app contributes the endings of its kinds.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, Q, QuerySet

from common.composition import contributed
from fleet.enums import NotificationKind
from fleet.models import Notification


@dataclass(frozen=True, eq=False)
class NotificationEnding:
    """Notifications of a kind hold until `ended`, rows over OuterRef("subject_id") and "step", finds any."""

    kind: NotificationKind
    ended: QuerySet[Any]


def still_active(notifications: QuerySet[Notification]) -> QuerySet[Notification]:
    """The notifications without those whose hold was lifted, report answered, document recorded, and so on."""
    for ending in contributed(NotificationEnding):
        notifications = notifications.exclude(Q(kind=ending.kind) & Exists(ending.ended))
    return notifications


def note_ended(notifications: Iterable[Notification]) -> None:
    """Have each of the notifications say of itself, as `ended`, whether its subject has ended; in one statement."""
    given = list(notifications)
    rows = Notification.objects.filter(pk__in=[notification.pk for notification in given])
    active = set(still_active(rows).values_list("pk", flat=True))
    for notification in given:
        notification.ended = notification.pk not in active
