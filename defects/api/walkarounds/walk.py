"""The walk over one combination as the API shows it: the lap leg by leg, and what is asked at its points."""

from collections.abc import Sequence
from typing import Annotated

from pydantic import Field

from common import messages
from common.api.answers import Answer
from common.api.values import Word
from common.messages import Message
from defects.api.walkarounds.walk_points import DefectHereAnswer, PointHereAnswer, PointOfUnit, point_here
from defects.enums import WalkaroundKind
from defects.rules.catalogue.closed_sets import Language
from defects.rules.catalogue.observed import Conditions
from defects.rules.walkarounds.lap import LAP, legs_in_turn
from defects.rules.walkarounds.looks import Asked, asked_of
from defects.selectors.walkarounds.walk import WalkGround
from fleet.api.units.short import UnitShort
from fleet.enums import UnitKind


class StopAnswer(Answer):
    """A point where the lap comes to it, with the places that are reached there."""

    point: str
    places: list[str]


class LegAnswer(Answer):
    """One leg of a unit: sign for it in `looked_at` of the unit's report once it was looked at.

    What is asked at a stop's point stands in `points`, under the same unit.
    """

    unit: str
    leg: Annotated[str, Word(LAP)]
    words: str
    stops: list[StopAnswer]


class UnitToWalk(UnitShort):
    """A unit of the walk, with what is read on it to know it by."""

    plate: str
    plate_state: str
    serial_ending: str = Field(description="the last eight of its VIN or serial number; empty where none is on record")


class WalkAnswer(Answer):
    """What to look at on these units: `legs` in the order of the feet. `elsewhere`: open defects at none of `points`.

    `to_sign` is the sentence to be shown above the signature over the legs; send it as `signature.shown`.
    """

    catalogue: str
    kind: Annotated[str, Word(WalkaroundKind)]
    units: list[UnitToWalk]
    coupled: bool
    legs: list[LegAnswer]
    to_sign: str
    points: list[PointHereAnswer]
    not_asked: list[str] = Field(description="what cannot be asked for want of a fact on record, in sentences")
    elsewhere: list[DefectHereAnswer]


def walk_answer(ground: WalkGround, kind: str, language: Language) -> WalkAnswer:
    conditions = Conditions(coupled=ground.coupled, walk_kind=kind)
    asked = [list(asked_of(ground.catalogue, ground.facts[unit.pk], conditions, ground.today)) for unit in ground.units]
    points = [
        point_here(PointOfUnit(ground, row.point, unit, ground.facts[unit.pk], conditions, language), row.places)
        for unit, rows in zip(ground.units, asked, strict=True)
        for row in rows
    ]
    shown = {defect.number for point in points for place in point.places for defect in place.open_defects}
    return WalkAnswer(
        catalogue=ground.catalogue.content_hash,
        kind=kind,
        units=[UnitToWalk.of(unit, serial_ending=(unit.vin or unit.serial)[-8:]) for unit in ground.units],
        coupled=ground.coupled,
        legs=_legs(ground, asked, language),
        to_sign=messages.render(Message("walk_to_sign"), language),
        points=points,
        not_asked=[
            messages.render(Message("clearance_axles_not_recorded", {"unit": str(unit)}), language)
            for unit in ground.units
            if unit.kind != UnitKind.COOLING_UNIT and not ground.facts[unit.pk].axles
        ],
        elsewhere=[
            DefectHereAnswer.of_defect(defect, ground, language)
            for defects in ground.open_defects.values()
            for defect in defects
            if defect.number not in shown
        ],
    )


def _legs(ground: WalkGround, asked: Sequence[Sequence[Asked]], language: Language) -> list[LegAnswer]:
    facts = [ground.facts[unit.pk] for unit in ground.units]
    return [
        LegAnswer(
            unit=str(ground.units[number]),
            leg=leg,
            words=messages.render(Message("walk_leg", {"leg": leg}), language),
            stops=[StopAnswer(point=stop.point.name, places=list(stop.places)) for stop in stops],
        )
        for number, leg, stops in legs_in_turn(facts, asked)
    ]
