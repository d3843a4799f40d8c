"""Places: which a point is asked at, which a unit has, and their names."""

import pytest

from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.observed import UnitFacts
from defects.rules.catalogue.places import axle_of, describe, is_place_of, is_position, places_for
from tests.support.rule_facts import COOLING_UNIT, TRACTOR, TRAILER, UNITS, point, with_axles

PLACES = [
    ("cab.horn", TRACTOR, ("",)),
    ("cooling.alarms", COOLING_UNIT, ("",)),
    ("cab.mirrors", TRACTOR, ("left", "right")),
    ("tires.steer.tread-depth", TRACTOR, ("axle-1-left", "axle-1-right")),
    (
        "tires.trailer.tread-depth",
        with_axles(TRAILER),
        tuple(f"axle-{n}-{side}-{which}" for n in (1, 2) for side in ("left", "right") for which in ("outer", "inner")),
    ),
    (
        "tires.trailer.tread-depth",
        with_axles(TRAILER, dual=False),
        ("axle-1-left", "axle-1-right", "axle-2-left", "axle-2-right"),
    ),
    ("tires.duals.contact", TRACTOR, ("axle-2-left", "axle-2-right", "axle-3-left", "axle-3-right")),
    ("tires.duals.contact", with_axles(TRAILER, dual=False), ()),
    ("brakes.service.chamber-match", TRACTOR, ("axle-1", "axle-2", "axle-3")),
    ("brakes.service.pushrod-stroke", TRAILER, ("axle-1-left", "axle-1-right", "axle-2-left", "axle-2-right")),
    ("brakes.service.pushrod-stroke", with_axles(TRAILER, brake_type="disc"), ()),
    (
        "brakes.service.pushrod-stroke",
        with_axles(TRAILER, brake_type=None),
        ("axle-1-left", "axle-1-right", "axle-2-left", "axle-2-right"),
    ),
    ("brakes.parking.caging-bolt", TRACTOR, ("axle-2-left", "axle-2-right", "axle-3-left", "axle-3-right")),
    ("brakes.service.pushrod-stroke", UnitFacts(kind="trailer"), ()),
]


@pytest.mark.parametrize(("name", "unit", "places"), PLACES)
def test_places_for__in_walking_order(name: str, unit: UnitFacts, places: tuple[str, ...]) -> None:
    assert places_for(point(name), unit) == places


def test_every_place_asked_for__is_a_place_of_the_unit_and_no_other_is() -> None:
    others = {"axle-9-left", "axle-1-middle", "axle-0-left", "roof", "left-outer", "axle-1-left-outer-left", " "}
    wrong = []
    for one in load_catalogue().points.values():
        for unit in (UNITS[kind] for kind in one.unit_kinds):
            places = places_for(one, unit)
            wrong += [(one.name, place) for place in places if not is_place_of(place, one, unit)]
            wrong += [(one.name, place) for place in others if is_place_of(place, one, unit)]
    assert wrong == []


def test_every_place_asked_for__has_a_name_in_both_languages() -> None:
    places = {place for one in load_catalogue().points.values() for place in places_for(one, UNITS[one.unit_kinds[0]])}
    assert {place for place in places if place and not is_position(place)} == set()
    assert {place for place in places if "-" in describe(place, "en") + describe(place, "es")} == set()


@pytest.mark.parametrize(
    ("place", "english", "spanish"),
    [
        ("axle-2-right-outer", "axle 2 right outer", "eje 2 derecha exterior"),
        ("axle-1", "axle 1", "eje 1"),
        ("left", "left", "izquierda"),
        ("rear-left", "rear left", "detrás izquierda"),
        ("left-low", "left low beam", "izquierda luz baja"),
        ("", "", ""),
        ("roof-axle", "roof axle", "roof eje"),
    ],
)
def test_describe__in_plain_words(place: str, english: str, spanish: str) -> None:
    assert describe(place) == english
    assert describe(place, "es") == spanish


@pytest.mark.parametrize(
    ("place", "taken"),
    [("axle-1-left", True), ("axle-7-right-outer", True), ("axle-1", False), ("left", False), ("axle-100-left", False)],
)
def test_axles_not_recorded__any_place_of_the_right_form(place: str, *, taken: bool) -> None:
    assert is_place_of(place, point("tires.trailer.body"), UnitFacts(kind="trailer")) is taken


@pytest.mark.parametrize(
    ("place", "dual", "taken"),
    [
        ("axle-1-left", False, True),
        ("axle-1-left", True, False),
        ("axle-1-left-inner", True, True),
        ("axle-1-left-inner", False, False),
    ],
)
def test_tire__inner_and_outer_exactly_where_there_are_duals(place: str, *, dual: bool, taken: bool) -> None:
    assert is_place_of(place, point("tires.trailer.body"), with_axles(TRAILER, dual=dual)) is taken


def test_axle_of__the_recorded_one_or_none() -> None:
    stroke = point("brakes.service.pushrod-stroke")
    assert axle_of("axle-2-left", stroke, TRACTOR) == TRACTOR.axles[1]
    assert axle_of("axle-9-left", stroke, TRACTOR) is None
    assert axle_of("left", stroke, TRACTOR) is None
    assert axle_of("left", point("cab.mirrors"), TRACTOR) is None
