"""The lap round a combination: on which leg a place lies, and in which order the feet come to it. Pure.

Front to rear on the left side, rear to front on the right; each wheel end is finished before the next.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from defects.enums import Leg
from defects.rules.catalogue.closed_sets import TWO_SIDED
from defects.rules.catalogue.observed import UnitFacts
from defects.rules.catalogue.places import axle_of, leg_of
from defects.rules.catalogue.points import Point
from defects.rules.walkarounds.looks import AskedPoint
from fleet.enums import AxleRole

LAP = tuple(leg for leg in Leg if leg not in TWO_SIDED)
"""The legs that a walk lists and a driver signs for."""

STEER_AXLE, ALONG_THE_SIDE, OTHER_AXLE, BEHIND_THE_AXLES = range(4)
"""What a side has, from its front."""

Spot = tuple[int, int]
"""Which of these, and the number of the axle or 0."""

_TURN = {leg: number for number, leg in enumerate(LAP)}


@dataclass(frozen=True, slots=True)
class Stop:
    """A point where the lap comes to it: its places on one leg, and at one wheel end where it has any."""

    leg: Leg
    point: Point
    places: tuple[str, ...]


def lap_round(unit: UnitFacts, rows: Sequence[AskedPoint]) -> Iterator[Stop]:
    """The stops at one unit, in the order of the feet."""
    reached = sorted(
        (_turn(row.point, place, unit), order, number)
        for order, row in enumerate(rows)
        for number, place in enumerate(row.places)
    )
    for (turn, order), met in groupby(reached, key=lambda one: one[:2]):
        row = rows[order]
        yield Stop(LAP[turn[0]], row.point, tuple(row.places[number] for _, _, number in met))


def legs_in_turn(
    units: Sequence[UnitFacts], asked: Sequence[Sequence[AskedPoint]]
) -> Iterator[tuple[int, Leg, list[Stop]]]:
    """Each unit's part of each leg in the order of the feet: the unit by its number, the leg, its stops."""
    laps = [list(lap_round(unit, of_unit)) for unit, of_unit in zip(units, asked, strict=True)]
    for leg in LAP:
        # who approaches ends at the tractor's front, where the lap begins
        numbers = reversed(range(len(units))) if leg is Leg.APPROACH else range(len(units))
        for number in numbers:
            stops = [stop for stop in laps[number] if stop.leg is leg]
            if stops:
                yield number, leg, stops


def _turn(point: Point, place: str, unit: UnitFacts) -> tuple[int, int, int]:
    """The leg, and how far along it from where the feet come."""
    leg = leg_of(point, place, unit.kind)
    if point.leg not in TWO_SIDED or leg is Leg.TRAILER_REAR:
        return _TURN[leg], 0, 0
    spot, axle = _spot(point, place, unit)
    forward = leg in (Leg.TRACTOR_LEFT, Leg.TRAILER_LEFT)
    return (_TURN[leg], spot, axle) if forward else (_TURN[leg], -spot, -axle)


def _spot(point: Point, place: str, unit: UnitFacts) -> Spot:
    axle = axle_of(place, point, unit)
    if axle is not None:
        return (STEER_AXLE if axle.role == AxleRole.STEER else OTHER_AXLE), axle.number
    return (BEHIND_THE_AXLES if point.leg is Leg.AXLES else ALONG_THE_SIDE), 0
