"""Going through many things so that one that fails stops none of the others. Every job over rows goes through here.

What failed is logged with its trace, noted until it goes well again (a figure for whoever watches), and told to the
administrators, once for each thing and job.
"""

import logging
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from typing import TypeVar
from uuid import UUID

from django.conf import settings
from django.db import InterfaceError, OperationalError, transaction
from django.utils.module_loading import import_string

from fleet.enums import NotificationKind, Role
from fleet.models import SkippedRecord
from fleet.services.notifications.create import NotificationDraft, RecipientGroup, create_notifications, find_recipients

logger = logging.getLogger(__name__)

T = TypeVar("T")

LONGEST_WHY = 200


def in_batches(
    job: str,
    things: Sequence[T],
    work: Callable[[Sequence[T]], int],
    *,
    key: Callable[[T], UUID],
    size: int,
    now: datetime,
) -> int:
    """Do the work for all things, `size` at once; what it adds up to. Of several parts each is named, `job: part`.

    A batch that fails is done again thing by thing, each in a transaction of its own, and what fails then is passed
    over.
    """
    done, failed, ends_the_run = 0, set[UUID](), _ends_the_run()

    def alone(thing: T) -> int:
        try:
            with transaction.atomic():
                return work([thing])
        except ends_the_run:
            raise
        except Exception as error:
            logger.exception("job %s passes over %s", job, key(thing))
            failed.add(key(thing))
            _note(job, key(thing), f"{type(error).__name__}: {error}"[:LONGEST_WHY], now)
            return 0

    for first in range(0, len(things), size):
        batch = things[first : first + size]
        try:
            with transaction.atomic():
                done += work(batch)
        except ends_the_run:
            raise
        except Exception:
            logger.exception("job %s: a batch of %d failed and is done one by one", job, len(batch))
            done += sum(alone(thing) for thing in batch)
    SkippedRecord.objects.filter(job=job).exclude(subject__in=failed).delete()
    return done


def _ends_the_run() -> tuple[type[Exception], ...]:
    """A database that is away, and a run that was cut off, are no fault of a thing."""
    return OperationalError, InterfaceError, TimeoutError, import_string(settings.RUN_CUT_OFF_BY)


@transaction.atomic
def _note(job: str, key: UUID, why: str, now: datetime) -> None:
    SkippedRecord.objects.update_or_create(
        job=job, subject=key, defaults={"last_at": now}, create_defaults={"why": why, "first_at": now, "last_at": now}
    )
    recipient_group = RecipientGroup(Role.ADMINISTRATOR)
    draft = NotificationDraft(
        kind=NotificationKind.RECORD_SKIPPED,
        code="record_skipped",
        subject=key,
        people=[person.pk for person in find_recipients([recipient_group], now=now)[recipient_group]],
        facts={"job": job, "record": str(key), "fault": why},
        step=job,
    )
    create_notifications([draft], now=now)


def skipped_record(jobs: Iterable[str]) -> dict[str, int]:
    """How many things each job passed over when it last ran, in all that it does: `job: part`."""
    names = [name.partition(":")[0] for name in SkippedRecord.objects.values_list("job", flat=True)]
    return {job: names.count(job) for job in jobs}
