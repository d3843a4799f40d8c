"""The beat's schedule as it starts."""

from config.beat import LONG_AGO, BeatScheduler
from config.celery import app


def test_start__everything_is_due_at_once_so_that_nothing_waits_for_another_interval() -> None:
    app.loader.import_default_modules()
    scheduler = BeatScheduler(app, lazy=True)
    scheduler.setup_schedule()

    assert {entry["task"] for entry in app.conf.beat_schedule.values()} == {
        entry.task for entry in scheduler.schedule.values() if entry.is_due()[0]
    }
    assert max(entry["schedule"] for entry in app.conf.beat_schedule.values()) < LONG_AGO.total_seconds()
