"""What the workers are told to do about defects; each task is one service call, safe to run twice."""

from celery import shared_task

from common import clock
from defects.services import deferrals, flips, roadside


@shared_task(name="defects.tasks.return_past_limit")
def return_past_limit() -> None:
    """Bring back the defects whose certificate's limit has passed."""
    deferrals.return_past_limit(now=clock.now())


@shared_task(name="defects.tasks.tell_flipped")
def tell_flipped() -> None:
    """Owe word of the answers that turned to barred since dispatch had them."""
    flips.tell_flipped(now=clock.now())


@shared_task(name="defects.tasks.remind_of_answers")
def remind_of_answers() -> None:
    """Owe word of the officers' reports that wait for their answer."""
    roadside.remind_of_answers(now=clock.now())
