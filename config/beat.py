"""A beat that leaves a sign of life: a file whose age a health check can read."""

from datetime import timedelta
from typing import Any

from celery.beat import Scheduler

from config.health import SIGN_OF_LIFE

LONG_AGO = timedelta(days=1)
"""Longer than any interval of the schedule."""


class BeatScheduler(Scheduler):
    """Celery's scheduler without memory between starts, touching the file at each turn.

    It says everything once as it starts: after days without it nothing waits for another interval, least of all those
    of an hour for a beat that is started anew more often than that.
    """

    def setup_schedule(self) -> None:
        """Have every entry due at once."""
        super().setup_schedule()
        for entry in self.schedule.values():
            entry.last_run_at = self.app.now() - LONG_AGO

    def tick(self, *args: Any, **kwargs: Any) -> float:
        """Send what is due; return the seconds until the next turn."""
        pause: float = super().tick(*args, **kwargs)
        SIGN_OF_LIFE.touch()
        return pause
