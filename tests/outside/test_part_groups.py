"""The parts a driver vehicle inspection report covers.

Source: 49 CFR 396.11(a)(1)(i) to (xi), text read: the eleven groups are typed here in our own words, each with a fault
that plainly belongs to it and the unit it is found on.
"""

import pytest

from defects.rules.catalogue.catalogue import load_catalogue
from tests.support.rule_facts import TRACTOR, TRAILER, check, judge

GROUPS = [
    ("i", "service brakes", "brakes.hoses.wheel-end", "axle-2-left"),
    ("i", "trailer brake connections", "air.couplings-and-seals", "service"),
    ("ii", "parking brake", "brakes.parking.hold", ""),
    ("iii", "steering mechanism", "steering.linkage", ""),
    ("iv", "lighting devices", "lamps.trailer.stop", ""),
    ("iv", "reflectors", "lamps.trailer.reflectors", "left"),
    ("v", "tires", "tires.steer.body", "axle-1-left"),
    ("vi", "horn", "cab.horn", ""),
    ("vii", "windshield wipers", "cab.wipers-and-washer", "driver"),
    ("viii", "rear-vision mirrors", "cab.mirrors", "left"),
    ("ix", "coupling devices", "coupling.fifth-wheel.jaws", ""),
    ("x", "wheels and rims", "wheels.nuts-and-rims", "axle-1-left"),
    ("xi", "emergency equipment", "emergency.extinguisher", ""),
]


@pytest.mark.parametrize(("paragraph", "words", "name", "place"), GROUPS)
def test_group__a_defect_in_it_is_a_finding_that_bars_movement_and_is_statutory(
    paragraph: str, words: str, name: str, place: str
) -> None:
    found = load_catalogue().get(name)
    assert found is not None, (paragraph, words)
    unit = TRACTOR if "tractor" in found.unit_kinds else TRAILER
    verdict = judge(check(name, "defect", place), unit)
    assert (verdict.outcome, verdict.bars, found.authority) == ("finding", "movement", "statutory")


def test_the_eleven_groups__each_asked_before_and_after_the_trip() -> None:
    statutory = [one for one in load_catalogue().points.values() if one.authority == "statutory"]
    groups = {str(one.part_group) for one in statutory} - {"general"}
    assert len(groups) == 11
    for group in groups:
        walks = {str(walk) for one in statutory if one.part_group == group for walk in one.walks}
        assert {"pre_trip", "post_trip"} <= walks, group


@pytest.mark.parametrize(("paragraph", "words", "name", "place"), GROUPS)
def test_group__asked_on_every_walk_before_and_after_the_trip(
    paragraph: str, words: str, name: str, place: str
) -> None:
    """49 CFR 396.11(a)(1) and 392.7(a) want each listed part on each day's report and before each drive."""
    found = load_catalogue().points[name]
    assert found.often == "every_walk", (paragraph, words)
    assert {"pre_trip", "post_trip"} <= set(found.walks)


@pytest.mark.parametrize(
    "name",
    [
        "brakes.hoses.wheel-end",
        "brakes.parking.caging-bolt",
        "brakes.trailer.emergency-application",
        "air.couplings-and-seals",
        "lamps.trailer.stop",
        "lamps.trailer.reflectors",
        "tires.trailer.body",
        "coupling.fifth-wheel.jaws",
        "wheels.nuts-and-rims",
    ],
)
def test_trailer_picked_up__what_is_listed_of_it_is_asked(name: str) -> None:
    """A pick-up is the walk of its trailer (392.7(a)): service and parking brakes, lamps, reflectors, tires, wheels."""
    found = load_catalogue().points[name]
    assert (found.often, "pick_up" in found.walks) == ("every_walk", True)
