"""What the workers are told to do about defects; each task is one service call, safe to run twice."""

from celery import shared_task

from common import clock
from defects.services import deferrals


@shared_task(name="defects.tasks.return_past_limit")
def return_past_limit() -> None:
    """Bring back the defects whose certificate's limit has passed."""
    deferrals.return_past_limit(now=clock.now())
