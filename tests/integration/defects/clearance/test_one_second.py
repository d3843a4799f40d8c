"""Two walk-arounds that were finished in the same second follow each other as they came in."""

import datetime as dt

import pytest

from tests.support.dock import Dock, codes


def walk(dock: Dock, at: dt.datetime, by: str) -> None:
    for unit in dock.units:
        dock.walk(by, unit=unit, at=at)


@pytest.mark.parametrize(("first", "last"), [("sol", "iris"), ("iris", "sol")])
def test_two_drivers__the_last_received_has_walked_it(dock: Dock, first: str, last: str) -> None:
    at = dock.later()
    walk(dock, at, first)
    walk(dock, at, last)
    assert "walk_due" in codes(dock.ask(driver=first))
    assert "walk_due" not in codes(dock.ask(driver=last))
