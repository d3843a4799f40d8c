"""The Celery app of the worker and the beat, and the whole schedule.

Only these two processes import it: the web process writes rows and never talks to the broker. A message
says no more than "sweep now": what is owed stands in the database, so that two beats, none for a night or
an emptied broker lose nothing and double nothing.
"""

from celery import Celery
from django.conf import settings

import config.celery_logs  # noqa: F401 - connects the signals when imported
from config.env import choose_settings, or_exit

choose_settings("config.settings.base")
with or_exit():
    BROKER_URL: str = settings.REDIS_URL

MINUTE_S = 60
HOUR_S = 3600
TIME_LIMIT_S = 60

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
    task_default_queue="sweeps",
    task_acks_late=True,
    task_reject_on_worker_lost=True,
    task_ignore_result=True,
    task_time_limit=TIME_LIMIT_S,
    task_soft_time_limit=TIME_LIMIT_S - 15,
    task_serializer="json",
    accept_content=["json"],
    worker_prefetch_multiplier=1,
    # A task that loses its broker goes on: ended between sending a letter and marking it, the letter would
    # leave twice. Its message comes back later and finds nothing to do.
    worker_cancel_long_running_tasks_on_connection_loss=False,
    worker_soft_shutdown_timeout=25,
    timezone="UTC",
    # Nothing is remembered between starts: every entry is an interval, and what it sweeps catches up.
    beat_scheduler="config.beat:BeatScheduler",
    beat_max_loop_interval=MINUTE_S,
    beat_schedule={
        "feeds and webhooks that are over": {
            "task": "fleet.tasks.end_access",
            "schedule": MINUTE_S,
            "options": {"expires": MINUTE_S},
        },
        "papers to remind of": {
            "task": "fleet.tasks.remind_of_papers",
            "schedule": MINUTE_S,
            "options": {"expires": MINUTE_S},
        },
        "notices owed": {
            "task": "fleet.tasks.sweep_notices",
            "schedule": MINUTE_S,
            "options": {"expires": MINUTE_S},
        },
        "notices to deliver": {
            "task": "fleet.tasks.deliver_notices",
            "schedule": MINUTE_S,
            "options": {"expires": MINUTE_S},
        },
        "certificates past their limit": {
            "task": "defects.tasks.return_past_limit",
            "schedule": 15 * MINUTE_S,
            "options": {"expires": 15 * MINUTE_S},
        },
        "answers that turned to barred": {
            "task": "defects.tasks.tell_flipped",
            "schedule": MINUTE_S,
            "options": {"expires": MINUTE_S},
        },
        "answers owed to officers": {
            "task": "defects.tasks.remind_of_answers",
            "schedule": 15 * MINUTE_S,
            "options": {"expires": 15 * MINUTE_S},
        },
        # The digest is a day's, the question whether one is missing an hour's: a beat that starts anew
        # every day would never reach the end of a day's interval.
        "history digest": {
            "task": "fleet.tasks.write_history_digest",
            "schedule": HOUR_S,
            "options": {"expires": HOUR_S},
        },
        "answers kept long enough": {
            "task": "fleet.tasks.purge_requests",
            "schedule": HOUR_S,
            "options": {"expires": HOUR_S},
        },
        "records past their days": {
            "task": "fleet.tasks.purge_records",
            "schedule": HOUR_S,
            "options": {"expires": HOUR_S},
        },
    },
)
app.autodiscover_tasks()
