"""What every test of the API has: a carrier, and a clock that stands still."""

from collections.abc import Iterator
from pathlib import Path

import pytest
import time_machine
from pytest_django import Settings

from fleet.models import Carrier
from tests.factories.fleet import NOON, make_carrier


@pytest.fixture(autouse=True)
def frozen_clock() -> Iterator[time_machine.Traveller]:
    with time_machine.travel(NOON, tick=False) as traveller:
        yield traveller


@pytest.fixture
def carrier(db: None) -> Carrier:
    return make_carrier()


@pytest.fixture
def media(tmp_path: Path, settings: Settings) -> Path:
    """A folder for files, empty at first."""
    folder = tmp_path / "media"
    settings.MEDIA_ROOT = folder
    return folder
