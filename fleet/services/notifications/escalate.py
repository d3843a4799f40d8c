"""Telling the next role of what is urgent and stays unanswered, once for each thing that happened."""

import logging
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet

from fleet.enums import NoticeKind
from fleet.models import Notice
from fleet.rules.notifications.timing import ESCALATE_WITHIN, ESCALATION
from fleet.services.notifications.create import NoticeDraft, owe_notices
from fleet.services.notifications.endings import still_standing
from fleet.services.notifications.hours import habits_in_force
from fleet.services.notifications.recipients import Audience, first_with_somebody_new, people_to_tell
from fleet.services.notifications.skipped_records import in_batches

logger = logging.getLogger(__name__)

BATCH = 500
MINUTE = timedelta(minutes=1)

CODE = "unanswered"

Event = tuple[str, UUID, str]
"""What happened: the kind, the subject and the step (a fault under a load) that all notices of it share."""


def escalate_unanswered(*, now: datetime) -> int:
    """Owe what nobody answered to the next role that has someone who was not told; how many notices.

    One acknowledgement by anyone told is an answer, and what has ended needs none. What has been escalated is not
    escalated again, nor is what the next role got. Safe to run at once and again.
    """
    wait = habits_in_force(now).escalate_after
    keys = list(still_standing(_unanswered(now, wait)).order_by("owed_at", "pk").values_list("pk", flat=True))
    return in_batches(
        "sweep_notices: unanswered",
        keys,
        lambda batch: _escalate_batch(batch, now, wait),
        key=lambda notice: notice,
        size=BATCH,
        now=now,
    )


def _escalate_batch(keys: Sequence[UUID], now: datetime, wait: timedelta) -> int:
    notices = list(
        still_standing(_unanswered(now, wait).filter(pk__in=keys))
        .select_for_update(skip_locked=True, of=("self",))
        .select_related("unit")
        .order_by("owed_at", "pk")
    )
    if not notices:
        return 0
    events = {
        (notice.kind, notice.subject_id, notice.step): notice for notice in notices if notice.subject_id is not None
    }
    people = people_to_tell([audience for notice in events.values() for audience in _audiences(notice)], now=now)
    told = _told(events)
    drafts = [
        _draft(notice, event[1], first_with_somebody_new(_audiences(notice), people, told[event]), wait)
        for event, notice in events.items()
    ]
    owed = owe_notices(drafts, now=now)
    handled = [notice.pk for notice in (*notices, *owed)]
    Notice.objects.filter(pk__in=handled).update(escalated_at=now)
    return len(owed)


def _unanswered(now: datetime, wait: timedelta) -> QuerySet[Notice]:
    answered = Notice.objects.filter(
        kind=OuterRef("kind"), subject_id=OuterRef("subject_id"), step=OuterRef("step"), acknowledged_at__isnull=False
    )
    return Notice.objects.filter(
        ~Exists(answered),
        urgent=True,
        acknowledged_at__isnull=True,
        escalated_at__isnull=True,
        owed_at__lte=now - wait,
        owed_at__gt=now - ESCALATE_WITHIN,
        kind__in=ESCALATION,
    )


def _audiences(notice: Notice) -> list[Audience]:
    site = notice.unit.home_site_id if notice.unit is not None else None
    return [Audience(role, site, on_call=True) for role in ESCALATION[notice.kind]]


def _told(events: Iterable[Event]) -> Mapping[Event, set[UUID]]:
    """Who was told at first. Not whom a sweep at the same time has just told: both must find the same next role."""
    told: dict[Event, set[UUID]] = defaultdict(set)
    first = Notice.objects.filter(subject_id__in=[subject for _, subject, _ in events]).exclude(code=CODE)
    for kind, subject, step, person in first.values_list("kind", "subject_id", "step", "person_id"):
        if subject is not None:
            told[kind, subject, step].add(person)
    return told


def _draft(notice: Notice, subject: UUID, people: list[UUID], wait: timedelta) -> NoticeDraft:
    if not people:
        logger.error("%s about %s: nobody answers and nobody is left to tell", notice.kind, subject)
    return NoticeDraft(
        kind=NoticeKind(notice.kind),
        code=CODE,
        subject=subject,
        people=people,
        facts={
            "minutes": wait // MINUTE,
            "since_at": notice.owed_at,
            "what": {"code": notice.code, "facts": notice.facts},
        },
        unit=notice.unit_id,
        step=f"{notice.step}:escalated" if notice.step else "escalated",
        urgent=True,
    )
