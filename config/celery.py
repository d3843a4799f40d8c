"""The Celery app of the worker and the beat; `config.tasks` fills its schedule from the list of jobs.

Only these two processes import it: the web process writes rows and never talks to the broker. A message
says no more than "job now": what is pending stands in the database, so that two beats, none for a night or
an emptied broker lose nothing and double nothing.
"""

from celery import Celery
from django.conf import settings

import config.celery_logs  # noqa: F401 - connects the signals when imported
from config.env import choose_settings, or_exit

choose_settings("config.settings.base")
with or_exit():
    BROKER_URL: str = settings.REDIS_URL

TIME_LIMIT_S = 60
TO_END_IN_S = 15
"""What a task has left to end in, once it was told that its time is up."""

app = Celery("reefer_clearance")
app.conf.update(
    broker_url=BROKER_URL,
    broker_connection_retry_on_startup=True,
    broker_transport_options={
        # A message that a dead worker held comes back after this; below twice the time limit it would
        # come back while its task still runs.
        "visibility_timeout": 5 * TIME_LIMIT_S,
        "unacked_restore_interval": 5,
        "unacked_restore_throttle": 1,
        "socket_timeout": 5,
        "socket_connect_timeout": 2,
        "health_check_interval": 25,
    },
    task_default_queue="jobs",
    task_acks_late=True,
    task_reject_on_worker_lost=True,
    task_ignore_result=True,
    task_time_limit=TIME_LIMIT_S,
    task_soft_time_limit=TIME_LIMIT_S - TO_END_IN_S,
    task_serializer="json",
    accept_content=["json"],
    worker_prefetch_multiplier=1,
    # A task that loses its broker goes on: ended between sending a mail and marking it, the mail would
    # leave twice. Its message comes back later and finds nothing to do.
    worker_cancel_long_running_tasks_on_connection_loss=False,
    worker_soft_shutdown_timeout=25,
    timezone="UTC",
    # Nothing is remembered between starts: every entry is an interval, and what it jobs catches up.
    beat_scheduler="config.beat:BeatScheduler",
    beat_max_loop_interval=60,
    beat_schedule={},
    include=["config.tasks"],
)
