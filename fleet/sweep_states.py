"""Whether each sweep runs when it should, for whoever watches from outside. Runs and notes nothing."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from common.jobs import jobs
from fleet.models import SweepRun

GRACE = timedelta(minutes=3)
"""So long after two of its turns a sweep may still be expected. Our own default."""


@dataclass(frozen=True)
class SweepState:
    """One sweep: `late` when it has not ended well for two of its turns, `failed` when its last run did not."""

    name: str
    ended_well_at: datetime | None
    failed_at: datetime | None
    late: bool
    failed: bool


def sweep_states(*, now: datetime) -> list[SweepState]:
    """Every sweep there is, in their order, in one statement; one that never ran is late."""
    noted = {run.name: run for run in SweepRun.objects.order_by("name")}
    return [_state(job.name, job.every, noted.get(job.name, SweepRun(name=job.name)), now) for job in jobs()]


def _state(name: str, every: timedelta, run: SweepRun, now: datetime) -> SweepState:
    well, failed = run.ended_well_at, run.failed_at
    return SweepState(
        name=name,
        ended_well_at=well,
        failed_at=failed,
        late=well is None or now - well > 2 * every + GRACE,
        failed=failed is not None and (well is None or failed > well),
    )
