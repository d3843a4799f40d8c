"""Everything that time alone makes due, each with how often it is asked. Worker, beat and demo run these alike.

An app above adds its own with `add_sweep` when it starts. Every sweep may run twice at once and again.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

from django.conf import settings

from fleet.services.documents.reminders.job import remind_of_papers
from fleet.services.notifications.deliveries import Clock, deliver_owed
from fleet.services.notifications.job import sweep_notices
from fleet.services.people.access import end_access_that_is_over
from fleet.services.records.digests import write_history_digest
from fleet.services.records.expired import forget_leftovers
from fleet.services.records.purging.job import purge_records

EVERY_ROUND = timedelta(0)


@dataclass(frozen=True)
class Run:
    """What a sweep is given: the clock, and whether it has been asked to stop."""

    clock: Clock
    stop: Callable[[], bool] = lambda: False


@dataclass(frozen=True)
class Sweep:
    """A name for the log, how long it rests at least, and what it does; what it returns is logged."""

    name: str
    rest: timedelta
    run: Callable[[Run], object]


_sweeps: list[Sweep] = [
    Sweep("end_access", EVERY_ROUND, lambda run: end_access_that_is_over(now=run.clock())),
    Sweep("remind_of_papers", EVERY_ROUND, lambda run: remind_of_papers(clock=run.clock, stop=run.stop)),
    Sweep("sweep_notices", EVERY_ROUND, lambda run: sweep_notices(now=run.clock())),
    Sweep("deliver_notices", EVERY_ROUND, lambda run: deliver_owed(clock=run.clock, stop=run.stop)),
    Sweep(
        "write_history_digest",
        timedelta(hours=1),
        lambda run: write_history_digest(directory=settings.HISTORY_DIGEST_DIR, now=run.clock()),
    ),
    Sweep("purge_requests", timedelta(days=1), lambda run: forget_leftovers(now=run.clock())),
    Sweep("purge_records", timedelta(days=1), lambda run: purge_records(now=run.clock(), stop=run.stop)),
]


def sweeps() -> tuple[Sweep, ...]:
    """All sweeps, in the order in which one round runs them."""
    return tuple(_sweeps)


def add_sweep(sweep: Sweep) -> None:
    """Add an app's own; ValueError when the name is taken."""
    if any(known.name == sweep.name for known in _sweeps):
        raise ValueError(f"there is a sweep {sweep.name!r} already")
    _sweeps.append(sweep)
