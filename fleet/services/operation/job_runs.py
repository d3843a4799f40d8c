"""Noting when a job last ended well or failed, whoever ran it, and what a worker saw of the broker's queue."""

from datetime import datetime

from fleet.models import JobRun, QueueReport


def note_run(name: str, *, well: bool, now: datetime) -> None:
    """Remember the end of one run. What went wrong stands in the log."""
    JobRun.objects.update_or_create(name=name, defaults={"ended_well_at" if well else "failed_at": now})


def note_queue(name: str, *, waiting: int, waited_s: float, now: datetime) -> None:
    """Remember what a worker saw as it took a message; clocks that differ make no time less than none."""
    seen = {"waiting": waiting, "waited_s": max(waited_s, 0.0), "reported_at": now}
    QueueReport.objects.update_or_create(name=name, defaults=seen)
