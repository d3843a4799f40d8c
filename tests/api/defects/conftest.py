"""The yard of the defects' life, with everybody signed in."""

from collections.abc import Callable

import pytest

from tests.factories.fleet import NOON, sign_in
from tests.factories.lifecycle import HOUR, Yard, make_yard
from tests.support.api import Caller

Device = Callable[[str], Caller]


@pytest.fixture
def yard(db: None) -> Yard:
    """What is done through services happens before the instant at which the requests are answered."""
    yard = make_yard()
    yard.now = NOON - 3 * HOUR
    return yard


@pytest.fixture
def device(yard: Yard) -> Device:
    """The device of one of the yard's people by first name."""
    return lambda name: sign_in(yard[name])
