"""Whether each job runs when it should, for whoever watches from outside. Runs and notes nothing."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from common.jobs import jobs
from fleet.models import JobRun

GRACE = timedelta(minutes=3)
"""So long after two of its turns a job may still be expected. Our own default."""


@dataclass(frozen=True)
class JobState:
    """One job: `late` when it has not ended well for two of its turns, `failed` when its last run did not."""

    name: str
    ended_well_at: datetime | None
    failed_at: datetime | None
    late: bool
    failed: bool


def job_states(*, now: datetime) -> list[JobState]:
    """Every job there is, in their order, in one statement; one that never ran is late."""
    noted = {run.name: run for run in JobRun.objects.order_by("name")}
    return [_state(job.name, job.every, noted.get(job.name, JobRun(name=job.name)), now) for job in jobs()]


def _state(name: str, every: timedelta, run: JobRun, now: datetime) -> JobState:
    well, failed = run.ended_well_at, run.failed_at
    return JobState(
        name=name,
        ended_well_at=well,
        failed_at=failed,
        late=well is None or now - well > 2 * every + GRACE,
        failed=failed is not None and (well is None or failed > well),
    )
