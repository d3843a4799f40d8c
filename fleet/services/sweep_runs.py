"""Noting when a sweep last ended well or failed, whoever ran it: a worker, or the demo's own process."""

from datetime import datetime

from fleet.models import SweepRun


def note_run(name: str, *, well: bool, now: datetime) -> None:
    """Remember the end of one run. What went wrong stands in the log."""
    SweepRun.objects.update_or_create(name=name, defaults={"ended_well_at" if well else "failed_at": now})
