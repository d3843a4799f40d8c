"""The yard of the defects' life, with everybody signed in."""

from collections.abc import Callable

import pytest

from tests.factories.dispatch import Dock
from tests.factories.fleet import NOON, sign_in
from tests.factories.lifecycle import HOUR, Yard
from tests.support.api import Caller

Device = Callable[[str], Caller]


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


@pytest.fixture
def device(yard: Yard) -> Device:
    """The device of one of the yard's people by first name."""
    return lambda name: sign_in(yard[name])
