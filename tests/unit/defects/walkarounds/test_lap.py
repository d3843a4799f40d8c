"""The lap round a combination: the order of the feet, each wheel end once, and few changes of unit."""

import re
from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby

import pytest

from defects.enums import Leg
from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.observed import UnitFacts
from defects.rules.catalogue.places import leg_of
from defects.rules.walkarounds.lap import LAP, Stop, legs_in_turn
from defects.rules.walkarounds.looks import asked_of
from tests.support.rule_facts import BY_DAY, COOLING_UNIT, TODAY, TRACTOR, TRAILER, axle, point

COMBINATION = (TRACTOR, TRAILER, COOLING_UNIT)
FOUR_AXLES = replace(TRAILER, axles=tuple(axle(number, "trailer") for number in range(1, 5)))


def lap(units: Sequence[UnitFacts] = COMBINATION) -> list[tuple[str, Leg, Stop]]:
    """Every stop in turn, with the kind of its unit; mechanics' points and those of a service among them."""
    asked = [tuple(asked_of(load_catalogue(), unit, BY_DAY, TODAY)) for unit in units]
    return [(units[number].kind, leg, stop) for number, leg, stops in legs_in_turn(units, asked) for stop in stops]


def wheel_end(kind: str, stop: Stop) -> str:
    """The wheel end of a stop; of a whole axle it is the left one, where the lap comes to it first."""
    found = re.match(r"axle-[0-9]+(-left|-right)?", stop.places[0])
    return "" if found is None else f"{kind} {found[0]}{'' if found[1] else '-left'}"


def test_lap__the_unit_changes_at_most_eight_times() -> None:
    turns = [kind for kind, _ in groupby(kind for kind, _, _ in lap())]

    assert len(turns) - 1 <= 8


@pytest.mark.parametrize("units", [COMBINATION, (TRACTOR, FOUR_AXLES, COOLING_UNIT), (TRAILER,)])
def test_wheel_end__is_finished_before_the_next_and_never_visited_again(units: Sequence[UnitFacts]) -> None:
    visits = [end for end, _ in groupby(wheel_end(kind, stop) for kind, _, stop in lap(units)) if end]

    assert len(visits) == len(set(visits)) == 2 * sum(len(unit.axles) for unit in units)


def test_sides__left_from_front_to_rear_and_right_from_rear_to_front() -> None:
    visits = [end for end, _ in groupby(wheel_end(kind, stop) for kind, _, stop in lap()) if end]

    assert visits == [
        "tractor axle-1-left",
        "tractor axle-2-left",
        "tractor axle-3-left",
        "trailer axle-1-left",
        "trailer axle-2-left",
        "trailer axle-2-right",
        "trailer axle-1-right",
        "tractor axle-3-right",
        "tractor axle-2-right",
        "tractor axle-1-right",
    ]


def test_lap__every_leg_once_in_turn_and_every_place_on_one() -> None:
    stops = lap()
    legs = [leg for leg, _ in groupby(leg for _, leg, _ in stops)]
    places = [(kind, stop.point.name, place) for kind, _, stop in stops for place in stop.places]
    asked = [
        (unit.kind, row.point.name, place)
        for unit in COMBINATION
        for row in asked_of(load_catalogue(), unit, BY_DAY, TODAY)
        for place in row.places
    ]

    assert legs == list(LAP)
    assert len(places) == len(set(places))
    assert set(places) == set(asked)


def test_steer_axle__comes_before_what_hangs_on_the_tractors_side() -> None:
    left = [stop.point.name for _, leg, stop in lap() if leg is Leg.TRACTOR_LEFT]
    right = [stop.point.name for _, leg, stop in lap() if leg is Leg.TRACTOR_RIGHT]

    assert left.index("tires.steer.body") < left.index("frame.tractor.rails") < left.index("tires.drive.body")
    assert right.index("tires.drive.body") < right.index("lamps.tractor.rear") < right.index("tires.steer.body")


def test_tires_of_one_end__outer_before_inner() -> None:
    first = next(stop for _, leg, stop in lap() if leg is Leg.TRAILER_RIGHT and stop.point.name == "tires.trailer.body")

    assert first.places == ("axle-2-right-outer", "axle-2-right-inner")


@pytest.mark.parametrize(
    ("name", "place", "kind", "leg"),
    [
        ("wheels.nuts-and-rims", "axle-2-left", "tractor", Leg.TRACTOR_LEFT),
        ("wheels.nuts-and-rims", "axle-2-right", "trailer", Leg.TRAILER_RIGHT),
        ("suspension.arms-and-rods", "axle-1", "trailer", Leg.TRAILER_LEFT),
        ("lamps.trailer.markers", "middle-right", "trailer", Leg.TRAILER_RIGHT),
        ("lamps.trailer.markers", "rear-left", "trailer", Leg.TRAILER_LEFT),
        ("lamps.trailer.markers", "rear-upper", "trailer", Leg.TRAILER_REAR),
        ("lamps.tractor.rear-tape", "upper", "tractor", Leg.TRACTOR_LEFT),
        ("body.skin-and-roof", "front", "trailer", Leg.TRAILER_LEFT),
        ("doors.rear.seal", "right", "trailer", Leg.INSIDE_BOX),
        ("cab.mirrors", "right", "tractor", Leg.CAB),
    ],
)
def test_place__says_on_which_side_a_point_is_asked(name: str, place: str, kind: str, leg: Leg) -> None:
    assert leg_of(point(name), place, kind) is leg
