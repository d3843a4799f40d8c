"""The logs of worker and beat: written as the web process writes its own, each line naming what caused it."""

import logging.config
from typing import Any

from celery.signals import before_task_publish, setup_logging, task_postrun, task_prerun
from django.conf import settings

from common import clock
from common.causes import NOTHING, begin_cause, present_cause, run_name

CAUSE, SAID_AT = "cause", "said_at"
"""Headers of a message: what caused it, and when it was sent, in seconds since 1970."""


@setup_logging.connect
def write_as_the_service_does(**_: Any) -> None:
    """Keep Celery from writing lines of its own form; LOG_LEVEL and LOG_FORMAT hold for all processes."""
    logging.config.dictConfig(settings.LOGGING)


@before_task_publish.connect
def say_cause(*, sender: str, headers: dict[str, Any], **_: Any) -> None:
    """Let a message name the request in which it is sent, or else the run that it begins; and say when."""
    cause = present_cause()
    headers[SAID_AT] = clock.now().timestamp()
    headers[CAUSE] = run_name(sender.rpartition(".")[2], headers["id"]) if cause == NOTHING else cause


@task_prerun.connect
def take_cause(*, task: Any, task_id: str, **_: Any) -> None:
    """Let what a task does be caused by what its message names."""
    begin_cause(getattr(task.request, CAUSE, None) or run_name(task.name.rpartition(".")[2], task_id))


@task_postrun.connect
def forget_cause(**_: Any) -> None:
    """Nothing is being done until the next message."""
    begin_cause(NOTHING)
