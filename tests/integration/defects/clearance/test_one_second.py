"""Two walk-arounds that were finished in the same second follow each other as they came in."""

import datetime as dt

import pytest

from common.ids import uuid7
from defects.services.walkarounds.intake import submit_walkaround
from tests.support.dock import Dock, codes
from tests.support.submissions import report_on, submission


def walk(dock: Dock, at: dt.datetime, by: str) -> None:
    whole = submission(at, coupled=True, reports=[report_on(str(unit)) for unit in dock.units])
    submit_walkaround(walkaround_id=uuid7(), submission=whole, actor=dock[by], now=dock.now)


@pytest.mark.parametrize(("first", "last"), [("sol", "iris"), ("iris", "sol")])
def test_two_drivers__the_last_received_has_walked_it(dock: Dock, first: str, last: str) -> None:
    at = dock.later()
    walk(dock, at, first)
    walk(dock, at, last)
    assert "walk_due" in codes(dock.ask(driver=first))
    assert "walk_due" not in codes(dock.ask(driver=last))
