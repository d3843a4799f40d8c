"""A composition with more than the service's own in it, for one test."""

import pytest

from common import composition
from common.composition import Contribution, contributions


def contribute(monkeypatch: pytest.MonkeyPatch, *parts: object) -> None:
    """Add the parts, as if one more app contributed them."""
    assembled = (*contributions(), Contribution("test", parts))
    monkeypatch.setattr(composition, "contributions", lambda: assembled)
