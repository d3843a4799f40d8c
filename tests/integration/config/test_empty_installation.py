"""Between installing and recording the carrier the worker jobs over nothing, and fails at nothing."""

from pathlib import Path

import pytest
from pytest_django import Settings

from config.celery import app
from fleet.models import Carrier

app.loader.import_default_modules()


@pytest.mark.parametrize("task", sorted({entry["task"] for entry in app.conf.beat_schedule.values()}))
def test_job_before_the_carrier_is_recorded__does_nothing(
    db: None, settings: Settings, tmp_path: Path, task: str
) -> None:
    settings.HISTORY_DIGEST_DIR, settings.MEDIA_ROOT = tmp_path / "digests", tmp_path / "media"
    assert not Carrier.objects.exists()
    app.tasks[task]()
