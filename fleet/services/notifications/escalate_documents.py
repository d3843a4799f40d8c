"""Telling the next role of a late paper that nobody acknowledged, once for each of its steps."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet

from fleet.enums import NoticeKind
from fleet.models import Notice
from fleet.rules.documents.reminders import LATE_PAPERS
from fleet.rules.notifications.timing import ESCALATE_WITHIN, PAPER_ESCALATION
from fleet.services.notifications.create import NoticeDraft, owe_notices
from fleet.services.notifications.endings import still_standing
from fleet.services.notifications.hours import habits_in_force
from fleet.services.notifications.recipients import Audience, first_with_somebody_new, people_to_tell
from fleet.services.notifications.skipped_records import in_batches

BATCH = 500
MOST_BATCHES = 20
"""A run ends well within a task's time; the rest is the next one's."""

CODE = "unanswered_days"

Event = tuple[UUID | None, str]
"""A paper, or whatever lacks one, and the step that all notices of it share."""


def escalate_late_papers(*, now: datetime) -> int:
    """Owe the next role that has someone new word of each late paper left unacknowledged; how many notices.

    One acknowledgement by anyone told answers that step and no other. Put off with a reason, it waits for the day it
    was put off to. A paper replaced meanwhile is left alone. Safe to run at once and again.
    """
    wait = habits_in_force(now).papers_after
    late = still_standing(_unanswered(now, wait)).order_by("owed_at", "pk")
    return in_batches(
        "sweep_notices: late papers",
        list(late.values_list("pk", flat=True)[: MOST_BATCHES * BATCH]),
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
    events = {_event(notice): notice for notice in notices}
    people = people_to_tell([audience for notice in events.values() for audience in _audiences(notice)], now=now)
    told = _told(notices)
    drafts = [
        _draft(notice, first_with_somebody_new(_audiences(notice), people, told[event]), wait)
        for event, notice in events.items()
    ]
    owed = owe_notices(drafts, now=now)
    Notice.objects.filter(pk__in=[notice.pk for notice in notices]).update(escalated_at=now)
    return len(owed)


def _unanswered(now: datetime, wait: timedelta) -> QuerySet[Notice]:
    answered = Notice.objects.filter(
        subject_id=OuterRef("subject_id"), step=OuterRef("step"), kind=OuterRef("kind"), acknowledged_at__isnull=False
    )
    return Notice.objects.filter(
        ~Exists(answered),
        Q(snoozed_until__isnull=True) | Q(snoozed_until__lte=now),
        kind=NoticeKind.DOCUMENT_ENDING,
        code__in=LATE_PAPERS,
        acknowledged_at__isnull=True,
        escalated_at__isnull=True,
        owed_at__lte=now - wait,
        owed_at__gt=now - wait - ESCALATE_WITHIN,
    )


def _event(notice: Notice) -> Event:
    return notice.subject_id, notice.step


def _audiences(notice: Notice) -> list[Audience]:
    site = notice.unit.home_site_id if notice.unit is not None else None
    return [Audience(role, site) for role in PAPER_ESCALATION]


def _told(notices: Sequence[Notice]) -> Mapping[Event, set[UUID]]:
    """Who was told of these papers at first, whatever became of it."""
    told: dict[Event, set[UUID]] = defaultdict(set)
    first = Notice.objects.filter(
        subject_id__in={notice.subject_id for notice in notices}, kind=NoticeKind.DOCUMENT_ENDING
    ).exclude(code=CODE)
    for subject, step, person in first.values_list("subject_id", "step", "person_id"):
        told[subject, step].add(person)
    return told


def _draft(notice: Notice, people: list[UUID], wait: timedelta) -> NoticeDraft:
    subject = notice.subject_id
    if subject is None:
        raise ValueError(f"a reminder of nothing: {notice.pk}")
    return NoticeDraft(
        kind=NoticeKind.DOCUMENT_ENDING,
        code=CODE,
        subject=subject,
        people=people,
        facts={"days": wait.days, "since_at": notice.owed_at, "what": {"code": notice.code, "facts": notice.facts}},
        unit=notice.unit_id,
        step=f"{notice.step}/next",
    )
