"""The yard of the defects' life, with everybody signed in."""

import pytest

from tests.factories.dispatch import Dock
from tests.factories.fleet import NOON
from tests.factories.lifecycle import HOUR, Yard


@pytest.fixture
def yard(yard: Yard) -> Yard:
    """What is done through services happens before the instant at which the requests are answered."""
    yard.now = NOON - 3 * HOUR
    return yard


@pytest.fixture
def dock(dock: Dock) -> Dock:
    """An hour is left for what is done through services before the requests are answered."""
    dock.yard.now = NOON - HOUR
    return dock
