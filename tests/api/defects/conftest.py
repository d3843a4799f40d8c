"""The yard of the defects' life, with everybody signed in."""

import pytest

from tests.factories.fleet import NOON
from tests.support.dock import Dock
from tests.support.yard import HOUR, Yard


@pytest.fixture
def yard(yard: Yard) -> Yard:
    """What is done through services happens before the instant at which the requests are answered."""
    yard.now = NOON - 3 * HOUR
    return yard


@pytest.fixture
def dock(dock: Dock) -> Dock:
    """An hour is left for what is done through services before the requests are answered."""
    dock.now = NOON - HOUR
    return dock
