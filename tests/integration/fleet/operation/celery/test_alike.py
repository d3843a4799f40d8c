"""What the demo sweeps in one process is what the beat has the workers do: no sweep is known to one alone."""

from datetime import timedelta

import pytest

from config.celery import app
from fleet.sweeps import Sweep, add_sweep, sweeps


def test_every_sweep__has_a_task_of_its_name_in_the_schedule_and_the_other_way_round() -> None:
    scheduled = {entry["task"].rpartition(".")[2] for entry in app.conf.beat_schedule.values()}

    assert scheduled == {sweep.name for sweep in sweeps()}


def test_sweep_under_a_name_that_is_taken__refused() -> None:
    with pytest.raises(ValueError, match="deliver_notices"):
        add_sweep(Sweep("deliver_notices", timedelta(0), lambda _: None))
