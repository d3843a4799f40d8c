"""When a point is due again, and which measurements a daily walk asks in turn."""

from collections.abc import Container, Iterable
from datetime import date, timedelta
from itertools import pairwise

import pytest

from defects.enums import Form
from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.closed_sets import HowOften
from defects.rules.walkarounds.due import INTERVAL, Due, asked_in_turn, due
from fleet.enums import UnitKind
from tests.support.rule_facts import point

TODAY = date(2026, 3, 6)
DAY = timedelta(days=1)
ROTATING = [
    point
    for point in load_catalogue().for_unit_kind(UnitKind.TRACTOR)
    if point.often is HowOften.ROTATING and point.name != "fuel.tractor.level"
]
NAMES = {point.name for point in ROTATING}
STEER = ROTATING[0].name


@pytest.mark.parametrize(
    ("often", "answered_on", "found"),
    [
        ("every_walk", TODAY, Due(now=True)),
        ("at_service", None, Due(now=False)),
        ("weekly", None, Due(now=True)),
        ("weekly", TODAY - INTERVAL + DAY, Due(now=False, on=TODAY + DAY)),
        ("weekly", TODAY - INTERVAL, Due(now=True, on=TODAY)),
        ("rotating", TODAY - INTERVAL - DAY, Due(now=True, on=TODAY - DAY)),
    ],
)
def test_cadence_and_last_answer__say_whether_and_since_when_it_is_due(
    often: str, answered_on: date | None, found: Due
) -> None:
    assert due(HowOften(often), answered_on, TODAY) == found


def turns(answered_on: dict[str, date | None], days: Iterable[int], *, answered: Container[str]) -> list[set[str]]:
    """What is asked on walks of these days, each of `answered` measured on the day it is asked."""
    asked = []
    for day in (TODAY + number * DAY for number in days):
        asked.append(asked_in_turn(Form.DAILY, ROTATING, answered_on, day))
        answered_on |= {name: day for name in asked[-1] if name in answered}
    return asked


def test_turn__those_due_the_longest_when_all_was_answered_lately() -> None:
    lately = dict.fromkeys(NAMES, TODAY - DAY) | {STEER: TODAY - 3 * DAY, ROTATING[4].name: TODAY - 2 * DAY}
    assert asked_in_turn(Form.DAILY, ROTATING, lately, TODAY) == {STEER, ROTATING[4].name}


@pytest.mark.parametrize("first", range(5))
def test_walked_on_working_days__everything_is_measured_again_within_a_week(first: int) -> None:
    days = [first + day + 7 * week for week in range(6) for day in range(5)]
    asked = turns({}, days, answered=NAMES)

    assert {len(names) for names in asked} == {2}
    for name in NAMES:
        met = [day for day, names in zip(days, asked, strict=True) if name in names]
        assert met[0] - first < 7
        assert max(later - day for day, later in pairwise(met)) <= 7


def test_walked_seldom_and_always_on_the_same_turn__everything_comes_all_the_same() -> None:
    asked = turns({}, range(0, 50, 5), answered=NAMES)
    assert set().union(*asked) == NAMES


def test_answered_without_a_value__keeps_its_own_turn_and_no_other() -> None:
    """A driver without a gauge says so every day, and the rest is measured all the same."""
    never = {point.name for point in ROTATING[:3]}
    asked = turns({}, range(20), answered=NAMES - never)
    for name in NAMES - never:
        assert sum(name in names for names in asked) >= 2, name


def test_each_unit__has_its_turn_whatever_it_runs_with() -> None:
    assert asked_in_turn(Form.DAILY, ROTATING[:1], {}, TODAY) == {STEER}
    assert asked_in_turn(Form.DAILY, (), {}, TODAY) == set()


@pytest.mark.parametrize("form", [form for form in Form if form not in {Form.DAILY, Form.SEALED}])
def test_other_forms__ask_nothing_in_turn(form: Form) -> None:
    assert asked_in_turn(form, ROTATING, {}, TODAY) == set()


def test_what_is_asked_otherwise__never_in_turn() -> None:
    others = [point(name) for name in ("engine.belts", "cab.identification", "air.governor.cut-in")]
    assert asked_in_turn(Form.DAILY, others, {}, TODAY) == set()
