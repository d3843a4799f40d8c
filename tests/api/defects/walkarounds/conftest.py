"""What every test of handing in walk-arounds has: the demo carrier at noon."""

import pytest


@pytest.fixture(autouse=True)
def field(ninefold_at_noon: None) -> None:
    """The carrier that the phones report to."""
