"""Periodic jobs: each app contributes its own; worker, beat, `run_jobs`, /readyz and /metrics are made from them."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime, timedelta

from common.composition import contributed

MINUTE = timedelta(minutes=1)


@dataclass(frozen=True)
class Run:
    """What a job is given: the clock, and whether it has been asked to stop."""

    clock: Callable[[], datetime]
    stop: Callable[[], bool] = lambda: False


@dataclass(frozen=True)
class Job:
    """A name, how often it runs, what it does, and the seconds after which a worker ends it.

    It is safe to run twice at once and again. What it returns is logged.
    """

    name: str
    every: timedelta
    run: Callable[[Run], object]
    time_limit_s: int = 60


def jobs() -> tuple[Job, ...]:
    """All jobs, in the order in which one round runs them."""
    return contributed(Job)
