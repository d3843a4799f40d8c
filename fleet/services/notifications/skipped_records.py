"""Going through many things so that one that fails stops none of the others. Every sweep over rows goes through here.

What failed is logged with its trace, noted until it goes well again (a figure for whoever watches), and told to the
administrators, once for each thing and sweep.
"""

import logging
from collections.abc import Callable, Iterable, Sequence
from datetime import datetime
from typing import TypeVar
from uuid import UUID

from django.db import InterfaceError, OperationalError, transaction

from fleet.enums import NoticeKind, Role
from fleet.models import PassedOver
from fleet.services.notifications.create import NoticeDraft, owe_notices
from fleet.services.notifications.recipients import Audience, people_to_tell

logger = logging.getLogger(__name__)

T = TypeVar("T")

LONGEST_WHY = 200
ends_the_sweep: list[type[Exception]] = [OperationalError, InterfaceError, TimeoutError]
"""A database that is away, and a run that was cut off, are no fault of a thing. Whoever cuts runs off adds how."""


def in_batches(
    sweep: str,
    things: Sequence[T],
    work: Callable[[Sequence[T]], int],
    *,
    key: Callable[[T], UUID],
    size: int,
    now: datetime,
) -> int:
    """Do the work for all things, `size` at once; what it adds up to. Of several parts each is named, `sweep: part`.

    A batch that fails is done again thing by thing, each in a transaction of its own, and what fails then is passed
    over.
    """
    done, failed = 0, set[UUID]()

    def alone(thing: T) -> int:
        try:
            with transaction.atomic():
                return work([thing])
        except tuple(ends_the_sweep):
            raise
        except Exception as error:
            logger.exception("sweep %s passes over %s", sweep, key(thing))
            failed.add(key(thing))
            _note(sweep, key(thing), f"{type(error).__name__}: {error}"[:LONGEST_WHY], now)
            return 0

    for first in range(0, len(things), size):
        batch = things[first : first + size]
        try:
            with transaction.atomic():
                done += work(batch)
        except tuple(ends_the_sweep):
            raise
        except Exception:
            logger.exception("sweep %s: a batch of %d failed and is done one by one", sweep, len(batch))
            done += sum(alone(thing) for thing in batch)
    PassedOver.objects.filter(sweep=sweep).exclude(subject__in=failed).delete()
    return done


@transaction.atomic
def _note(sweep: str, key: UUID, why: str, now: datetime) -> None:
    PassedOver.objects.update_or_create(
        sweep=sweep,
        subject=key,
        defaults={"last_at": now},
        create_defaults={"why": why, "first_at": now, "last_at": now},
    )
    audience = Audience(Role.ADMINISTRATOR)
    draft = NoticeDraft(
        kind=NoticeKind.RECORD_PASSED_OVER,
        code="record_passed_over",
        subject=key,
        people=[person.pk for person in people_to_tell([audience], now=now)[audience]],
        facts={"sweep": sweep, "record": str(key), "fault": why},
        step=sweep,
    )
    owe_notices([draft], now=now)


def passed_over(sweeps: Iterable[str]) -> dict[str, int]:
    """How many things each sweep passed over when it last ran, in all that it does: `sweep: part`."""
    names = [name.partition(":")[0] for name in PassedOver.objects.values_list("sweep", flat=True)]
    return {sweep: names.count(sweep) for sweep in sweeps}
