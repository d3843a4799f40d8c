"""Clearance over stored rows: every reason from what happened, and the answer back when it is put right."""

import datetime as dt

import pytest

from defects.enums import Bars, Severity, Standing
from defects.models import Clearance
from defects.rules.submission import GivenCheck, GivenFault
from tests.factories.dispatch import Dock, codes, make_dock


@pytest.fixture
def dock(db: None) -> Dock:
    return make_dock()


def test_everything_in_order__nothing_known_against_it_and_what_ends_that_first(dock: Dock) -> None:
    asked = dock.ask()
    assert (asked.answer, asked.reasons, asked.unknown) == ("nothing_known_against", [], [])
    assert asked.first_to_end_it == {
        "at": "2026-03-07T18:01:00Z",
        "code": "walk_due",
        "unit": "CU-46",
        "facts": {"walked_at": "2026-03-06T18:01:00Z"},
    }
    assert asked.valid_until == dt.datetime(2026, 3, 7, 18, 1, tzinfo=dt.UTC)
