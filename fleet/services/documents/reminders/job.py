"""The periodic job that reminds of documents: batch by batch, each committed by itself, until its time is up.

A step is notified once to each person by the unique key of its notification, so that a pass cut off, days without
service or several passes at once come to the same rows. Where a pass was cut off is remembered, for the next one.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from django.db import transaction

from common.errors import NotFound
from fleet.models import JobPlace, Notification
from fleet.selectors.documents.status import document_day
from fleet.services.documents.reminders.due import Place, batches
from fleet.services.notifications.create import NotificationDraft, create_notifications

NAME = "remind_of_documents"

SIZE = 1_000
"""Documents in one batch."""

RUN_FOR = timedelta(seconds=30)
"""A run stops after this and leaves the rest to the next one: tasks are ended after a minute."""


@dataclass
class Reminded:
    """How many notifications one run created, over how many documents and units, and whether it came to the end."""

    created: int = 0
    looked_at: int = 0
    whole: bool = True


def remind_of_documents(
    *, clock: Callable[[], datetime], stop: Callable[[], bool] = lambda: False, size: int = SIZE
) -> Reminded:
    """Notify of the newest step of every current document that has come, and weekly of what units and carrier lack.

    Stops after half a minute, or when `stop` says so. Documents of retired units and of people who left remind of
    nothing; before the carrier is recorded there is nothing to do.
    """
    begun = clock()
    done = Reminded()
    try:
        day = document_day(now=begun)
    except NotFound:
        return done
    for batch in batches(day, _cut_off_at(day.today), now=begun, size=size):
        done.created += _notify(batch.drafts, now=begun)
        done.looked_at += batch.looked_at
        if stop() or clock() - begun >= RUN_FOR:
            done.whole = False
            _remember(batch.place, day.today)
            return done
    JobPlace.objects.filter(name=NAME).delete()
    return done


@transaction.atomic
def _notify(drafts: Sequence[NotificationDraft], *, now: datetime) -> int:
    """Create what is not there yet: on most days nearly everything is."""
    keys = [draft.dedupe_key(person) for draft in drafts for person in draft.people]
    known = set(Notification.objects.filter(dedupe_key__in=keys).values_list("dedupe_key", flat=True))
    new = (
        replace(draft, people=[person for person in draft.people if draft.dedupe_key(person) not in known])
        for draft in drafts
    )
    return len(create_notifications([draft for draft in new if draft.people], now=now))


def _cut_off_at(today: date) -> Place:
    row = JobPlace.objects.filter(name=NAME, day=today).first()
    return Place() if row is None else Place(row.after_day, row.after_id)


def _remember(place: Place, today: date) -> None:
    JobPlace.objects.update_or_create(name=NAME, defaults={"day": today, "after_day": place.day, "after_id": place.key})
