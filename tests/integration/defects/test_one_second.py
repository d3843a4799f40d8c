"""Two walk-arounds that were finished in the same second follow each other as they came in."""

import datetime as dt

import pytest

from defects.rules.submission import GivenCheck
from tests.factories.dispatch import Dock, codes, unknowns

CHANNELS = "inside.floor-channels"
NOT_REACHED = GivenCheck(CHANNELS, "not_reached", reason="dark")
FINE = GivenCheck(CHANNELS, "fine")


def walk(dock: Dock, at: dt.datetime, by: str, *checks: GivenCheck) -> None:
    for unit in dock.units:
        dock.yard.walk(by, unit=unit, at=at, checks=checks if unit == dock.trailer else ())


@pytest.mark.parametrize(("first", "last"), [("sol", "iris"), ("iris", "sol")])
def test_two_drivers__the_last_received_has_walked_it(standing_dock: Dock, first: str, last: str) -> None:
    at = standing_dock.yard.later()
    walk(standing_dock, at, first)
    walk(standing_dock, at, last)
    assert "walk_due" in codes(standing_dock.ask(driver=first))
    assert "walk_due" not in codes(standing_dock.ask(driver=last))


@pytest.mark.parametrize(("answers", "left"), [((NOT_REACHED, FINE), []), ((FINE, NOT_REACHED), ["area_not_reached"])])
def test_two_answers_to_one_point__the_last_received_counts(
    standing_dock: Dock, answers: tuple[GivenCheck, GivenCheck], left: list[str]
) -> None:
    at = standing_dock.yard.later()
    for answer in answers:
        walk(standing_dock, at, "sol", answer)
    assert unknowns(standing_dock.ask(driver="sol")) == left
