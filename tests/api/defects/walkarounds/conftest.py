"""What every test of handing in walk-arounds has: the demo carrier at noon."""

import pytest

from tests.support.acting import Device, acting_as


@pytest.fixture(autouse=True)
def field(ninefold_at_noon: None) -> None:
    """The carrier that the phones report to."""


@pytest.fixture
def iris(field: None) -> Device:
    return acting_as("iris")
