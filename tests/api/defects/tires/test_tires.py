"""Where the wear of a tire is shown: on its unit, on the defect, and at its place on the walk."""

import datetime as dt
from typing import Any

import pytest

from defects.models import Defect
from fixtures.scenario.walking import places_of
from fleet.models import Axle
from tests.factories.defects import DefectFactory, MeasurementFactory
from tests.factories.fleet import NOON, MeterReadingFactory, history_of
from tests.support.acting import acting_as, codes, refusal
from tests.support.dock import Dock

STEER = "tires.steer.tread-depth"
PLACE = "axle-1-left"
DAY = dt.timedelta(days=1)


@pytest.fixture
def worn(dock: Dock) -> Dock:
    """NL-13's left steer tire, down to 5/32 in, one 32nd in 4,000 miles at 400 miles a day."""
    Axle.objects.filter(unit=dock.tractor, number=1).update(dual=False)
    for index, depth in enumerate((9, 8, 7, 6, 5)):
        at = NOON - (4 - index) * 10 * DAY
        MeasurementFactory.create(
            unit=dock.tractor,
            point=STEER,
            place=PLACE,
            value=depth,
            unit_of_measure="32nds",
            measured_at=at,
            person=dock["sol"],
        )
        MeterReadingFactory.create(
            unit=dock.tractor,
            meter="odometer_mi",
            shown=100_000 + index * 4_000,
            total=100_000 + index * 4_000,
            read_at=at,
            recorded_at=at,
            recorded_by=dock["sol"],
        )
    return dock


def test_unit__shows_each_tire_with_the_earliest_day_at_its_limit(worn: Dock) -> None:
    (tire,) = acting_as("hob").get("units/NL-13/tires").json()
    assert (tire["place"], tire["value"], tire["readings"], tire["per_10_000_mi"], tire["limit"]) == (
        PLACE,
        "5",
        5,
        "2.5",
        "4",
    )
    assert tire["unknown"] == ""
    assert 0 < tire["miles_left"] < 4_000
    assert "2026-03-06" < tire["limit_on"] < tire["expected_on"] == "2026-03-16"
    assert tire["says"] == "Expected at 4/32 in on Mon 16 Mar 2026, possibly as early as Sat 7 Mar 2026."
    assert acting_as("hob").get("units/LR-46/tires").json() == []


def test_defect_and_walk__show_the_same_day(worn: Dock) -> None:
    day = acting_as("hob").get("units/NL-13/tires").json()[0]["limit_on"]
    defect: Defect = DefectFactory.create(unit=worn.tractor, point=STEER, place=PLACE, value=5, unit_of_measure="32nds")
    assert acting_as("hob").get(f"defects/{defect.number}").json()["tire"]["limit_on"] == day
    walk = acting_as("sol").get("walk?tractor=NL-13").json()
    found = [
        place["limit_on"] for point, place in places_of(walk) if (point["point"], place["place"]) == (STEER, PLACE)
    ]
    assert found == [day]


def test_first_reading__says_that_there_are_not_enough(dock: Dock) -> None:
    MeasurementFactory.create(
        unit=dock.tractor,
        point=STEER,
        place=PLACE,
        value=5,
        unit_of_measure="32nds",
        measured_at=NOON,
        person=dock["sol"],
    )
    (tire,) = acting_as("hob").get("units/NL-13/tires").json()
    assert (tire["unknown"], tire["limit_on"]) == ("not_enough_readings", None)
    assert tire["says"] == "Not enough readings to say when it wears out."


def mount(place: str, unit: str = "NL-13", casing: str = "DOT-1", days_ago: int = 0, by: str = "hob") -> Any:
    at = (NOON - days_ago * DAY).isoformat()
    return acting_as(by).post(f"units/{unit}/tires", {"casing": casing, "place": place, "mounted_at": at})


def test_moved_casing__keeps_its_series_and_the_tire_in_its_place_begins_one(worn: Dock) -> None:
    assert mount(PLACE, days_ago=40).status_code == 201
    before = acting_as("hob").get("units/NL-13/tires").json()[0]
    assert (before["casing"], before["readings"]) == ("DOT-1", 5)
    moved = mount("axle-1-right")
    assert (moved.status_code, moved.json()["casing"]) == (201, "DOT-1")
    MeasurementFactory.create(
        unit=worn.tractor,
        point=STEER,
        place="axle-1-right",
        value="4.8",
        unit_of_measure="32nds",
        measured_at=NOON + DAY / 48,
        person=worn["sol"],
    )
    tires = {row["place"]: row for row in acting_as("hob").get("units/NL-13/tires").json()}
    assert (tires["axle-1-right"]["casing"], tires["axle-1-right"]["readings"]) == ("DOT-1", 6)
    assert (tires[PLACE]["casing"], tires[PLACE]["unknown"]) == ("", "not_enough_readings")
    assert {"tire_mounted", "tire_removed"} <= set(history_of(worn.tractor))


def test_casing__that_is_there_already_or_at_no_tires_place_is_refused(worn: Dock) -> None:
    assert mount(PLACE, days_ago=40).status_code == 201
    assert refusal(mount(PLACE)) == (409, "tire_there_already")
    assert refusal(mount("axle-9-left")) == (422, "tire_place_unknown")
    assert refusal(mount(PLACE, casing="DOT-2", days_ago=41)) == (422, "end_before_beginning")
    assert mount(PLACE, by="sol").status_code == 403


def test_tire_mounted_long_before_the_unit_came__is_refused_with_the_year(worn: Dock) -> None:
    early = mount(PLACE, days_ago=46_000)
    assert codes(early) == [("/mounted_at", "instant_too_early")]
    assert f"{worn.tractor.known_from:%d %b}".lstrip("0") in early.json()["detail"]
    assert f"M, {worn.tractor.known_from.year}, on." in early.json()["detail"]
