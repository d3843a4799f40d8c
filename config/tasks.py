"""The tasks of the worker and the schedule of the beat, made from the list of jobs. Only these two import it."""

import logging
from typing import Any

from celery import Task, states
from celery.signals import task_postrun, task_prerun
from django.db import DatabaseError
from django.db.utils import InterfaceError

from common import clock
from common.jobs import Job, Run, jobs
from config.celery import TO_END_IN_S, app
from fleet.services.operation.job_runs import note_queue, note_run

logger = logging.getLogger(__name__)


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
    """Note when each job last ended, for `/readyz` and `/metrics`; a killed one gets late."""
    try:
        note_run(task.name, well=state == states.SUCCESS, now=clock.now())
    except (DatabaseError, InterfaceError) as why:
        logger.warning("the end of %s could not be noted: %s", task.name, why)


def _add(job: Job) -> None:
    """Make the job's task, and have the beat send its message; one that no worker took in time expires."""

    def run() -> None:
        job.run(Run(clock=clock.now))

    app.task(name=job.name, time_limit=job.time_limit_s, soft_time_limit=job.time_limit_s - TO_END_IN_S)(run)
    every_s = int(job.every.total_seconds())
    app.conf.beat_schedule[job.name] = {"task": job.name, "schedule": every_s, "options": {"expires": every_s}}


for _job in jobs():
    _add(_job)
