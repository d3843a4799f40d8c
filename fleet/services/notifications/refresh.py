"""Notifications as they read now: days left and overdue are counted when one is sent or read, not when it was created.

What is stored stays as it was created; an app above contributes how its own kinds are counted.
"""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from common.composition import contributed
from fleet.enums import NotificationKind
from fleet.models import Notification
from fleet.services.notifications.escalate import LATE_DOCUMENTS, UNANSWERED

Content = tuple[str, Mapping[str, Any]]
"""A code and its stored facts."""

Refresh = Callable[[UUID | None, Content], Content | None]
"""What is told of a subject, as it reads now; None when there is nothing to tell any more."""

WAITED = {escalation.code: (escalation.waited, escalation.period) for escalation in (UNANSWERED, LATE_DOCUMENTS)}
"""Codes of what nobody answered, with the fact that says for how long."""


@dataclass(frozen=True)
class NotificationRefresh:
    """Has notifications of a kind counted anew by what `prepare` makes of their subjects and the instant."""

    kind: NotificationKind
    prepare: Callable[[Collection[UUID], datetime], Refresh]


def as_of_now(notifications: Iterable[Notification], *, now: datetime) -> list[Notification]:
    """The notifications as they read now, unsaved: each thing once, and without what has ended."""
    given = list(notifications)
    subjects: dict[str, set[UUID]] = defaultdict(set)
    for notification in given:
        if notification.subject_id is not None:
            subjects[notification.kind].add(notification.subject_id)
    refreshes: dict[str, Refresh] = {
        part.kind: part.prepare(subjects[part.kind], now)
        for part in contributed(NotificationRefresh)
        if part.kind in subjects
    }
    content: dict[tuple[str, str], Notification] = {}
    for notification in given:
        reads = _reads(notification, refreshes.get(notification.kind, _as_it_was), now)
        notification.ended = notification.ended or reads is None
        if reads is not None:
            notification.code, notification.facts = reads[0], dict(reads[1])
            content.setdefault((str(notification.subject_id or notification.pk), repr(reads)), notification)
    return list(content.values())


def _reads(notification: Notification, refresh: Refresh, now: datetime) -> Content | None:
    """What nobody answered is counted with how long by now, around what it tells of."""
    facts = notification.facts
    if notification.code not in WAITED or "since_at" not in facts:
        return refresh(notification.subject_id, (notification.code, facts))
    inner = refresh(notification.subject_id, (facts["what"]["code"], facts["what"]["facts"]))
    if inner is None:
        return None
    name, period = WAITED[notification.code]
    waited = (now - datetime.fromisoformat(facts["since_at"])) // period
    return notification.code, {**facts, name: waited, "what": {"code": inner[0], "facts": dict(inner[1])}}


def _as_it_was(_: UUID | None, content: Content) -> Content:
    return content
