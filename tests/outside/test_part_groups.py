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
