"""What the workers are told to do; each task is one service call, safe to run twice. Only workers import this."""

import logging
from typing import Any

from celery import Task, shared_task, states
from celery.exceptions import SoftTimeLimitExceeded
from celery.signals import task_postrun, task_prerun
from django.conf import settings
from django.db import DatabaseError
from django.db.utils import InterfaceError

from common import clock
from fleet.services.documents.reminders import job as reminders
from fleet.services.notifications import deliveries
from fleet.services.notifications import job as notifications
from fleet.services.notifications.skipped_records import ends_the_sweep
from fleet.services.operation.job_runs import note_queue, note_run
from fleet.services.people import access
from fleet.services.records import digests, expired
from fleet.services.records.purging import job as purging

logger = logging.getLogger(__name__)

ends_the_sweep.append(SoftTimeLimitExceeded)


@task_prerun.connect
def report_queue(*, task: Task[Any, Any], **_: object) -> None:
    """Note what waits in the broker and how long this message did: the web process never asks the broker itself."""
    now, name = clock.now(), task.app.conf.task_default_queue
    waited_s = now.timestamp() - float(getattr(task.request, "said_at", None) or now.timestamp())
    with task.app.connection_for_read() as broker:
        lost: tuple[type[BaseException], ...] = (DatabaseError, InterfaceError)
        lost += (*broker.connection_errors, *broker.channel_errors)
        try:
            broker.connect()
            with broker.channel() as channel:
                waiting = channel.queue_declare(name).message_count  # type: ignore[attr-defined]  # of every transport
            note_queue(name, waiting=waiting, waited_s=waited_s, now=now)
        except lost as why:
            logger.warning("what waits in the broker could not be noted: %s", why)


@task_postrun.connect
def note_end(*, task: Task[Any, Any], state: str, **_: object) -> None:
    """Note when each task last ended, every app's alike, for `/readyz` and `/metrics`; a killed one gets late."""
    try:
        note_run(task.name.rpartition(".")[2], well=state == states.SUCCESS, now=clock.now())
    except (DatabaseError, InterfaceError) as why:
        logger.warning("the end of %s could not be noted: %s", task.name, why)


@shared_task(name="fleet.tasks.end_access")
def end_access() -> None:
    """End feeds and webhooks whose time is over."""
    access.end_access_that_is_over(now=clock.now())


@shared_task(name="fleet.tasks.remind_of_papers")
def remind_of_papers() -> None:
    """Owe what papers remind of: those that end, have ended or are not there."""
    reminders.remind_of_papers(clock=clock.now)


@shared_task(name="fleet.tasks.sweep_notices")
def sweep_notices() -> None:
    """Owe what time alone makes due: digests whose morning has come, and what nobody answered."""
    notifications.sweep_notices(now=clock.now())


@shared_task(name="fleet.tasks.deliver_notices")
def deliver_notices() -> None:
    """Send what is owed and due."""
    deliveries.deliver_owed(clock=clock.now)


@shared_task(name="fleet.tasks.write_history_digest")
def write_history_digest() -> None:
    """Write today's digest of all histories, unless there is one."""
    digests.write_history_digest(directory=settings.HISTORY_DIGEST_DIR, now=clock.now())


@shared_task(name="fleet.tasks.purge_requests")
def purge_requests() -> None:
    """Forget old answers and attempts, and files without a row."""
    expired.forget_leftovers(now=clock.now())


@shared_task(name="fleet.tasks.purge_records")
def purge_records() -> None:
    """Delete what is past its days of keeping, as the role that may."""
    purging.purge_records(now=clock.now())
