"""Which notifications still hold: what has ended since is not announced as active. Sends and escalates nothing.

A kind without an ending tells of what happened, and holds for good. An app above contributes the endings of its kinds.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import CharField, Exists, Func, OuterRef, Q, QuerySet, Value

from common.composition import contributed
from fleet.enums import MISSING, NotificationKind
from fleet.models import Document, Notification, Qualification
from fleet.selectors.documents.status import newer_qualifications


@dataclass(frozen=True, eq=False)
class NotificationEnding:
    """Notifications of a kind hold until `ended`, rows over OuterRef("subject_id") and "step", finds any."""

    kind: NotificationKind
    ended: QuerySet[Any]


def still_active(notifications: QuerySet[Notification]) -> QuerySet[Notification]:
    """The notifications without those whose hold was lifted, report answered, document recorded, and so on."""
    for ending in contributed(NotificationEnding):
        notifications = notifications.exclude(Q(kind=ending.kind) & Exists(ending.ended))
    kind, state, week = (_part_of_step(position) for position in (1, 2, 3))
    replaced = Document.objects.filter(pk=OuterRef("subject_id")).filter(
        Q(superseded_at__isnull=False) | Q(unit__retired_on__isnull=False) | Q(person__left_on__isnull=False)
    )
    followed = Qualification.objects.filter(pk=OuterRef("subject_id"), ends_on__isnull=False).filter(
        Exists(newer_qualifications()) | Q(person__left_on__isnull=False)
    )
    recorded = (
        Document.objects.filter(superseded_at__isnull=True, kind=kind)
        .filter(Q(unit_id=OuterRef("subject_id")) | Q(unit__isnull=True, person__isnull=True))
        .alias(week=week)
        .filter(Q(week="") | Q(state=state))
    )
    of_documents = Q(kind=NotificationKind.DOCUMENT_ENDING)
    missing = of_documents & (Q(code=MISSING) | Q(facts__what__code=MISSING))
    over = Exists(replaced) | Exists(followed)
    return notifications.exclude(of_documents & over).exclude(missing & Exists(recorded))


def note_ended(notifications: Iterable[Notification]) -> None:
    """Have each of the notifications say of itself, as `ended`, whether its subject has ended; in one statement."""
    given = list(notifications)
    rows = Notification.objects.filter(pk__in=[notification.pk for notification in given])
    active = set(still_active(rows).values_list("pk", flat=True))
    for notification in given:
        notification.ended = notification.pk not in active


def _part_of_step(position: int) -> Func:
    """A part of `missing_step`: the kind and the week, or the kind, the State and the week."""
    parts = (OuterRef("step"), Value(":"), Value(position))
    return Func(*parts, function="SPLIT_PART", output_field=CharField())
