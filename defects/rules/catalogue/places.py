"""Places on a unit, and what a defect is called: the thing, where, and what is wrong, never the title of the check."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from common.measures import measured
from defects.enums import Leg
from defects.rules.catalogue.closed_sets import AXLE_PLACE_TYPES, TWO_SIDED, Language, PlaceType
from defects.rules.catalogue.observed import AxleFacts, UnitFacts
from defects.rules.catalogue.points import Point
from fleet.enums import UnitKind

_GRAMMAR = {
    PlaceType.AXLE: re.compile(r"axle-([1-9][0-9]?)"),
    PlaceType.WHEEL_END: re.compile(r"axle-([1-9][0-9]?)-(?:left|right)"),
    PlaceType.DUAL_PAIR: re.compile(r"axle-([1-9][0-9]?)-(?:left|right)"),
    PlaceType.TIRE: re.compile(r"axle-([1-9][0-9]?)-(?:left|right)(-(?:inner|outer))?"),
}

_SPANISH = {
    "axle": "eje",
    "left": "izquierda",
    "right": "derecha",
    "front": "delante",
    "rear": "detrás",
    "inner": "interior",
    "outer": "exterior",
    "upper": "arriba",
    "lower": "abajo",
    "low": "luz baja",
    "high": "luz alta",
    "middle": "centro",
    "driver": "lado del conductor",
    "passenger": "lado del pasajero",
    "side": "lateral",
    "door": "puerta",
    "air": "aire",
    "electric": "eléctrica",
    "service": "servicio",
    "supply": "suministro",
}
_ENGLISH = {word: word for word in _SPANISH} | {"low": "low beam", "high": "high beam"}
SIDES = {
    UnitKind.TRACTOR: (Leg.TRACTOR_LEFT, Leg.TRACTOR_RIGHT),
    UnitKind.TRAILER: (Leg.TRAILER_LEFT, Leg.TRAILER_RIGHT),
}
"""The left and the right side of a unit that rolls."""
_SIDE = {"left", "right"}
WORDS = {Language.ENGLISH: _ENGLISH, Language.SPANISH: _SPANISH}
"""The words a position may be made of; whole numbers are kept as they are."""


def places_for(point: Point, unit: UnitFacts) -> tuple[str, ...]:
    """Every place of the unit at which the point is asked, in walking order; ("",) for a point asked once."""
    if point.place_type is PlaceType.UNIT:
        return ("",)
    if point.place_type is PlaceType.POSITION:
        return point.places
    return tuple(place for axle in unit.axles if _asked_at(point, axle) for place in _of_axle(point.place_type, axle))


def is_place_of(place: str, point: Point, unit: UnitFacts) -> bool:
    """Whether the point is asked at that place of the unit.

    Where a unit's axles are not recorded yet, any place of the right form is taken: a fault there must not be lost.
    """
    if point.place_type is PlaceType.UNIT:
        return place == ""
    if point.place_type is PlaceType.POSITION:
        return place in point.places
    found = _GRAMMAR[point.place_type].fullmatch(place)
    if found is None:
        return False
    if not unit.axles:
        return True
    axle = unit.axle(int(found[1]))
    if axle is None or not _asked_at(point, axle):
        return False
    return point.place_type is not PlaceType.TIRE or axle.dual == (found[2] is not None)


def axle_of(place: str, point: Point, unit: UnitFacts) -> AxleFacts | None:
    """The axle a place lies on, as far as it is recorded."""
    if point.place_type not in AXLE_PLACE_TYPES:
        return None
    found = _GRAMMAR[point.place_type].fullmatch(place)
    return None if found is None else unit.axle(int(found[1]))


def leg_of(point: Point, place: str, kind: str) -> Leg:
    """The leg of the lap on which a place of a unit of that kind lies; what lies on no side is met on the left."""
    if point.leg not in TWO_SIDED:
        return point.leg
    left, right = SIDES[UnitKind(kind)]
    words = frozenset(place.split("-"))
    if "right" in words:
        return right
    if left is Leg.TRAILER_LEFT and "rear" in words and words.isdisjoint(_SIDE):
        return Leg.TRAILER_REAR
    return left


def is_position(place: str) -> bool:
    """Whether a text is made of the words of the grammar, so that it can be named in every language."""
    return all(word.isdecimal() or word in _SPANISH for word in place.split("-"))


def describe(place: str, language: Language | str = Language.ENGLISH) -> str:
    """The place for people: "axle 2 right outer", "eje 2 derecha exterior"; empty for the whole unit.

    A word outside the grammar is given back as it came: an answer with a wrong place is still shown to the foreman.
    """
    words = WORDS[Language(language)]
    return " ".join(words.get(word, word) for word in place.split("-"))


def _asked_at(point: Point, axle: AxleFacts) -> bool:
    if point.axle_roles and axle.role not in point.axle_roles:
        return False
    if point.place_type is PlaceType.DUAL_PAIR and not axle.dual:
        return False
    brakes = point.applies_when.get("brake_type")
    return brakes is None or axle.brake_type is None or axle.brake_type in brakes


def _of_axle(place_type: PlaceType, axle: AxleFacts) -> Iterator[str]:
    if place_type is PlaceType.AXLE:
        yield f"axle-{axle.number}"
        return
    for side in ("left", "right"):
        if place_type is PlaceType.TIRE and axle.dual:
            yield f"axle-{axle.number}-{side}-outer"
            yield f"axle-{axle.number}-{side}-inner"
        else:
            yield f"axle-{axle.number}-{side}"


_UNNAMED = {Language.ENGLISH: "finding not named", Language.SPANISH: "hallazgo sin nombrar"}
_LIMIT = {Language.ENGLISH: "limit", Language.SPANISH: "límite"}


@dataclass(frozen=True, slots=True)
class NamedFault:
    """What a name is made of. `text` is the finder's own words, which name a fault that has no point or no finding.

    `limit_value` is the figure that `value` fails, both in `unit_of_measure`; None where a finding was reported.
    """

    point: str
    place: str = ""
    text: str = ""
    finding: str = ""
    value: Decimal | None = None
    unit_of_measure: str = ""
    limit_value: Decimal | None = None


def name_of_fault(fault: NamedFault, point: Point | None, language: Language) -> str:
    """One line: "Parking brake: the vehicle moves", "Pushrod stroke, axle 2 right: 2.31 in, limit 2 in".

    `point` is the catalogue's of that name; None for a fault in the finder's own words, and for a point that the
    catalogue no longer has, which goes by its name.
    """
    if not fault.point:
        return fault.text
    thing = fault.point if point is None else point.text[language].thing
    where = describe(fault.place, language) if fault.place else ""
    wrong = _wrong(fault, point, language)
    return ": ".join(filter(None, (", ".join(filter(None, (thing, where))), wrong)))


def _wrong(fault: NamedFault, point: Point | None, language: Language) -> str:
    """The second half: the finding, with the value taken along with it, or the value beside the limit it fails."""
    finding = None if point is None else point.finding(fault.finding)
    said = fault.finding if finding is None else finding.text[language]
    if fault.text and not said and fault.limit_value is None:
        said = fault.text if point is None else f"{_UNNAMED[language]}: {fault.text}"
    if fault.value is None:
        return said
    figure = "" if point is None else point.text[language].figure
    value = " ".join(filter(None, (figure, measured(fault.value, fault.unit_of_measure))))
    if said or fault.limit_value is None:
        return ", ".join(filter(None, (said, value)))
    return f"{value}, {_LIMIT[language]} {measured(fault.limit_value, fault.unit_of_measure)}"
