"""What each form of the walk asks: how many answers and presses, how large, what is due, what it leaves open."""

import json
from datetime import timedelta
from itertools import pairwise
from math import ceil
from typing import Any

import pytest

from defects.enums import Form
from defects.models import Report
from defects.rules.catalogue.catalogue import load_catalogue
from fixtures.scenario.walking import places_of
from tests.factories.fleet import NOON
from tests.support.acting import acting_as
from tests.support.walks import UNITS, body, check, dense, put, walk_list, whole

TRAILER = UNITS[1]
DAY = timedelta(days=1)
WEEKLY = "brakes.service.mounting"
KILOBYTE = 1000


def presses(listed: Any) -> int:
    """What a driver presses who finds nothing: each leg that is signed for, and each test that is answered by itself.

    All places of one test are one press.
    """
    legs = [leg for leg in listed["legs"] if leg.get("to_sign", True)]
    tests = {
        (point["unit"], point["point"])
        for point, place in places_of(listed)
        if point.get("may_answer", True) and place["answered_by"] == "one_by_one"
    }
    return len(legs) + len(tests)


def names(listed: Any) -> set[tuple[str, str]]:
    return {(point["unit"], point["point"]) for point, _ in places_of(listed)}


def rotating_of(listed: Any) -> set[tuple[str, str]]:
    return {(point["unit"], point["point"]) for point, _ in places_of(listed) if point.get("often") == "rotating"}


@pytest.mark.parametrize(("form", "most"), [("daily", 50), ("sealed", 50), ("pick_up", 25), ("drop", 25)])
def test_walk_without_a_fault__so_many_answers_and_presses(form: str, most: int) -> None:
    assert presses(walk_list(acting_as("iris"), form=form)) <= most


@pytest.mark.parametrize(
    ("form", "most"), [("daily", 60), ("sealed", 60), ("post_trip", 60), ("pick_up", 60), ("full", 100)]
)
def test_plain_answer__so_many_kilobytes(form: str, most: int) -> None:
    answer = acting_as("iris").get("walk", tractor=UNITS[0], trailer=UNITS[1], form=form)

    assert "Content-Encoding" not in answer.headers
    assert len(answer.content) <= most * KILOBYTE


def test_every_value_known__still_no_larger() -> None:
    """Whatever can be measured was: each place says its last value with its age."""
    iris, greta = acting_as("iris"), acting_as("greta")
    put(greta, whole(walk_list(greta, form="full"), NOON))
    answer = iris.get("walk", tractor=UNITS[0], trailer=UNITS[1], form="full")

    assert sum("last_value" in place for point in answer.json()["points"] for place in point.get("places", ())) > 100
    assert len(answer.content) <= 100 * KILOBYTE


def test_daily__all_that_is_asked_every_time_and_a_fifth_of_each_units_measurements() -> None:
    listed, full = (walk_list(acting_as("iris"), form=form) for form in ("daily", "full"))
    every_time = {(point["unit"], point["point"]) for point, _ in places_of(full) if "often" not in point}
    rotating, all_rotating = rotating_of(listed), rotating_of(full)

    assert names(listed) == every_time | rotating
    for unit in UNITS:
        there = sum(of == unit for of, _ in all_rotating)
        assert sum(of == unit for of, _ in rotating) == ceil(there / 5)
    assert all("measure" in point for point in listed["points"] if "often" in point)


def test_measured_in_turn__then_others_come() -> None:
    iris = acting_as("iris")
    listed = walk_list(iris)
    put(iris, whole(listed, NOON))

    asked, others = rotating_of(listed), rotating_of(walk_list(iris))
    assert len(others) == len(asked) > 2
    assert asked.isdisjoint(others)


def test_full__all_there_is_of_the_kind() -> None:
    listed = walk_list(acting_as("iris"), form="full")
    catalogue = load_catalogue().points

    assert {point.get("often") for point in listed["points"]} == {None, "rotating", "weekly", "at_service"}
    assert "also_due" not in listed
    assert {name for _, name in names(listed)} >= {
        name
        for name, point in catalogue.items()
        if "pre_trip" in point.walks and "trailer" in point.unit_kinds and not point.applies_when
    }


def due_of(listed: Any, name: str) -> tuple[bool, str | None]:
    point = next(point for point in listed["points"] if point["point"] == name)
    return point.get("due", True), point.get("due_on")


def test_weekly_point__due_until_a_full_walk_answers_it_and_again_after_a_week() -> None:
    iris = acting_as("iris")
    before = walk_list(iris, form="full")
    put(iris, whole(before, NOON))
    after = walk_list(iris, form="full")

    assert due_of(before, WEEKLY) == (True, None)
    assert due_of(after, WEEKLY) == (False, (NOON + 7 * DAY).date().isoformat())


def test_leg_of_a_daily_walk__answers_nothing_that_it_does_not_ask() -> None:
    iris = acting_as("iris")
    put(iris, whole(walk_list(iris), NOON))

    assert due_of(walk_list(iris, form="full"), WEEKLY) == (True, None)


def test_form_that_was_walked__says_what_a_leg_covers() -> None:
    iris = acting_as("iris")
    for form in ("daily", "full"):
        walk = whole(walk_list(iris, form=form), NOON)
        receipt = put(iris, walk)
        looks = next(unit["looks"] for unit in receipt["units"] if unit["unit"] == TRAILER)
        assert (looks["required"], looks["without_answer"]) == (looks["answered"], [])


def test_sealed_form__what_is_behind_the_seal_is_not_asked_and_told_as_sealed() -> None:
    iris = acting_as("iris")
    listed = walk_list(iris, form="sealed")
    behind = {name for name, point in load_catalogue().points.items() if point.behind_seal}

    assert behind.isdisjoint(name for _, name in names(listed))
    assert "inside_box" not in {leg["leg"] for leg in listed["legs"]}
    receipt = put(iris, whole(listed, NOON))
    left = [row for unit in receipt["units"] for row in unit["looks"]["without_answer"]]
    assert left
    assert {row["why"] for row in left} == {"sealed"}
    assert {row["point"] for row in left} <= behind


def test_short_form_on_a_whole_walk__what_it_did_not_ask_is_left_without_an_answer() -> None:
    """A phone that walks by the pick-up's list and calls it a pre-trip has not looked at the rest."""
    iris = acting_as("iris")
    walk = {**whole(walk_list(iris, form="pick_up"), NOON), "kind": "pre_trip"}

    receipt = put(iris, walk)

    left = {row["point"] for unit in receipt["units"] for row in unit["looks"]["without_answer"]}
    assert {"engine.oil-level", "brakes.parking.hold", "cab.horn"} <= left


def test_unknown_form__kept_and_read_as_that_of_its_kind() -> None:
    iris = acting_as("iris")
    walk = {**whole(walk_list(iris), NOON), "form": "moonlit"}

    receipt = put(iris, walk)

    assert receipt["flags"]
    assert Report.objects.filter(walkaround__conditions__form=None).count() == len(UNITS)
    assert all(unit["looks"]["without_answer"] == [] for unit in receipt["units"])


def test_open_fault_of_a_weekly_point__looked_at_again_on_the_daily_walk_where_it_is() -> None:
    iris = acting_as("iris")
    put(iris, body([{"unit": TRAILER, "checks": [check(WEEKLY, "axle-1-left", "defect")]}], finished_at=NOON - DAY))

    listed = walk_list(iris)

    [(point, place)] = [(point, place) for point, place in dense(listed) if point["point"] == WEEKLY]
    assert (point["often"], place["place"], place["answered_by"]) == ("weekly", "axle-1-left", "one_by_one")
    assert len(place["open_defects"]) == 1


def test_tests_that_one_person_does_alone__ask_for_no_helper() -> None:
    alone = {
        "brakes.parking.hold",
        "brakes.service.rolling-stop",
        "brakes.trailer.emergency-application",
        "lamps.trailer.turn",
    }
    listed = walk_list(acting_as("iris"))
    with_helper = {point["point"] for point in listed["points"] if point.get("who") == "driver_with_helper"}

    assert alone <= {name for _, name in names(listed)}
    assert alone.isdisjoint(with_helper)


def test_hazards__said_once_and_referred_to() -> None:
    listed = walk_list(acting_as("iris"), form="full")
    referred = [point["caution"] for point in listed["points"] if "caution" in point]

    assert len(referred) > len(listed["cautions"]) == len(set(listed["cautions"]))
    assert set(referred) == set(range(len(listed["cautions"])))


@pytest.mark.parametrize("form", Form)
def test_lap__every_point_lies_on_it_and_no_place_twice(form: str) -> None:
    listed = walk_list(acting_as("iris"), form=form)
    places = [(point["unit"], point["point"], place["place"]) for point, place in places_of(listed)]

    assert len(places) == len(set(places))
    assert {place[:2] for place in places} == names(listed)
    assert sum(unit != other for unit, other in pairwise(leg["unit"] for leg in listed["legs"])) <= 8


def test_pick_up__asks_all_that_a_tractor_walked_alone_was_not_asked() -> None:
    """A tractor that ran alone in the morning is asked for the coupled air where it meets the trailer."""
    iris = acting_as("iris")
    alone, together, pick_up = (
        {name for unit, name in names(walk_list(iris, trailer=trailer, form=form)) if unit == UNITS[0]}
        for trailer, form in ((None, "daily"), (TRAILER, "daily"), (TRAILER, "pick_up"))
    )
    catalogue = load_catalogue().points
    every_time = {name for name in together - alone if catalogue[name].often == "every_walk"}

    assert {"air.leak.released-coupled", "air.leak.applied-coupled", "coupling.fifth-wheel.jaws"} <= every_time
    assert every_time <= pick_up


def test_lone_trailer__nothing_that_only_runs_coupled_and_few_presses() -> None:
    listed = walk_list(acting_as("iris"), tractor=None, form="pick_up")
    catalogue = load_catalogue().points

    assert [
        catalogue[name].applies_when for _, name in names(listed) if "coupled" in catalogue[name].applies_when
    ] == []
    assert presses(listed) <= 25


def test_drop__a_tractor_left_alone_has_its_leg_and_one_that_drops_a_trailer_drives_on() -> None:
    iris = acting_as("iris")
    alone, both = walk_list(iris, trailer=None, form="drop"), walk_list(iris, form="drop")

    assert [(leg["unit"], leg["leg"]) for leg in alone["legs"]] == [(UNITS[0], "approach")]
    assert UNITS[0] not in {leg["unit"] for leg in both["legs"]}
    receipt = put(iris, whole(alone, NOON))
    assert receipt["units"][0]["looks"]["without_answer"] == []


def test_scale_of_the_display__asked_wherever_the_setpoint_is() -> None:
    points = load_catalogue().points
    scale, setpoint = points["cooling.display-scale"], points["cooling.setpoint"]
    assert (scale.applies_when, scale.often) == (setpoint.applies_when, setpoint.often)
    assert set(scale.walks) == {"pre_trip", "pick_up", "drop"} < set(setpoint.walks)


def test_answer__is_plain_json_without_what_is_empty() -> None:
    text = json.dumps(walk_list(acting_as("iris")))

    assert "null" not in text
    assert "[]" not in text
