"""The walk over one combination as the API shows it: the lap leg by leg, and what is asked at its points."""

import json
from collections.abc import Sequence
from typing import Annotated, Self
from zoneinfo import ZoneInfo

from pydantic import Field

from common import messages
from common.api.answers import Answer
from common.api.values import Word
from common.messages import Message
from defects.api.catalogue.answers import SourceAnswer
from defects.api.walkarounds.walk_points import (
    DefectHereAnswer,
    GradeAnswer,
    PointHereAnswer,
    PointOfUnit,
    SaidOnce,
    Sparse,
    point_here,
)
from defects.enums import Form, WalkaroundKind
from defects.rules.catalogue.closed_sets import Language, Tool
from defects.rules.catalogue.observed import KIND_OF_FORM
from defects.rules.catalogue.places import describe
from defects.rules.walkarounds.lap import LAP, legs_in_turn
from defects.selectors.walkarounds.form_points import UnitForm, conditions_of, forms_of_units
from defects.selectors.walkarounds.walk import Assumed, WalkContext, lost_fuel
from fleet.api.units.short import UnitShort
from fleet.enums import UnitKind
from fleet.models import Unit
from fleet.selectors.units.whereabouts import left_messages

WHOLE_UNIT = [""]


class StopAnswer(Sparse):
    """A point where the lap comes to it, by its number in `points`, and the places that are reached there.

    Places are left out where the point is asked once of the whole unit.
    """

    point: int
    places: list[str] = WHOLE_UNIT


class LegAnswer(Sparse):
    """One leg of a unit: sign for it in `looked_at` of the unit's report once it was looked at.

    `to_sign` is false where every place of the
    leg is answered by itself.
    """

    unit: str
    leg: Annotated[str, Word(LAP)]
    words: str
    to_sign: bool = True
    stops: list[StopAnswer]


class UnitToWalk(UnitShort):
    """A unit of the walk, with what is read on it to know it by."""

    plate: str
    plate_state: str
    serial_ending: str = Field(description="the last eight of its VIN or serial number; empty where none is on record")


class PlaceWordsAnswer(Answer):
    """A place as people say it."""

    place: str
    words: str


class AlsoDueAnswer(Answer):
    """How many points of a unit are due that this form does not ask; the form `full` does."""

    unit: str
    points: int


class AssumedAxlesAnswer(Answer):
    """A unit without recorded axles, and how many it is asked at: as the driver `counted`, or the usual ones."""

    unit: str
    axles: int
    counted: bool
    says: str = Field(description="that the axles are to be counted; empty where the driver did")

    @classmethod
    def of_unit(cls, assumed: Assumed, language: Language) -> Self:
        message = Message("walk_axles_assumed", {"unit": str(assumed.unit), "axles": assumed.axles})
        says = "" if assumed.counted else messages.render(message, language)
        return cls.of(assumed, unit=str(assumed.unit), says=says)


class LeftHereAnswer(Answer):
    """How a unit was left where it is picked up, and fuel gone since beyond its hours, as it is read to the driver."""

    unit: str
    says: list[str]

    @classmethod
    def of_unit(cls, unit: Unit, context: WalkContext, language: Language) -> Self:
        left = json.loads(unit.left or "null")  # type: ignore[attr-defined]  # annotated
        said = [] if left is None else left_messages(str(unit), left, ZoneInfo(context.zone))
        if unit.kind == UnitKind.COOLING_UNIT and len(said) == 1:
            said = []  # nothing but where it is, which is where its trailer is
        lost = lost_fuel(unit, context.now)
        said += [] if lost is None else [Message("fuel_lost_here", {"lost_gal": lost})]
        return cls(unit=str(unit), says=[messages.render(message, language) for message in said])


class WalkAnswer(Sparse):
    """What to look at on these units: `legs` in the order of the feet. `elsewhere`: open defects at none of `points`.

    `to_sign` is the sentence to be shown above the signature over the legs; send it as `signature.shown`. `form` and
    `catalogue` go with the walk-around, whose kind is `kind` where it is done when this form is for.
    """

    catalogue: str
    form: Form
    kind: Annotated[str, Word(WalkaroundKind)]
    units: list[UnitToWalk]
    coupled: bool
    legs: list[LegAnswer]
    to_sign: str
    cautions: list[str] = Field(description="each said once; referred to by its number, from 0")
    sources: list[SourceAnswer] = Field(description="each said once; referred to by its number, from 0")
    grades: list[GradeAnswer] = Field(description="each said once; referred to by its number, from 0")
    tools: list[Tool] = Field(default=[], description="what to take along")
    place_words: list[PlaceWordsAnswer]
    points: list[PointHereAnswer]
    also_due: list[AlsoDueAnswer] = []
    assumed: list[AssumedAxlesAnswer] = []
    elsewhere: list[DefectHereAnswer] = []
    left: list[LeftHereAnswer] = Field(default=[], description="on the form `pick_up`")


def walk_answer(context: WalkContext, form: Form, language: Language) -> WalkAnswer:
    asked, conditions, said = forms_of_units(context, form), conditions_of(context, form), SaidOnce()
    points = [
        point_here(
            PointOfUnit(
                context, row.asked.point, unit, context.facts[unit.pk], conditions, row.due, row.by_leg, said, language
            ),
            row.asked.places,
        )
        for unit, of_unit in zip(context.units, asked, strict=True)
        for row in of_unit.rows
    ]
    shown = {defect.number for point in points for place in point.places for defect in place.open_defects}
    places = dict.fromkeys(place for of_unit in asked for row in of_unit.rows for place in row.asked.places if place)
    tools = {tool for of_unit in asked for row in of_unit.rows for tool in row.asked.point.tools}
    return WalkAnswer(
        catalogue=context.catalogue.content_hash,
        form=form,
        kind=KIND_OF_FORM[form],
        units=[UnitToWalk.of(unit, serial_ending=(unit.vin or unit.serial)[-8:]) for unit in context.units],
        coupled=context.coupled,
        legs=_legs(context, asked, points, language),
        to_sign=" ".join(messages.render(Message(code), language) for code in ("walk_to_sign", "walk_to_sign_heard")),
        cautions=said.cautions,
        sources=said.sources,
        grades=said.grades,
        tools=[tool for tool in Tool if tool in tools],
        place_words=[PlaceWordsAnswer(place=place, words=describe(place, language)) for place in places],
        points=points,
        also_due=[
            AlsoDueAnswer(unit=str(unit), points=of_unit.also_due)
            for unit, of_unit in zip(context.units, asked, strict=True)
            if of_unit.also_due
        ],
        assumed=[AssumedAxlesAnswer.of_unit(assumed, language) for assumed in context.assumed],
        elsewhere=[
            DefectHereAnswer.of_defect(defect, context, language)
            for defects in context.open_defects.values()
            for defect in defects
            if defect.number not in shown
        ],
        left=_left(context, language) if form is Form.PICK_UP else [],
    )


def _left(context: WalkContext, language: Language) -> list[LeftHereAnswer]:
    said = [LeftHereAnswer.of_unit(unit, context, language) for unit in context.units]
    return [answer for answer in said if answer.says]


def _legs(
    context: WalkContext, asked: Sequence[UnitForm], points: Sequence[PointHereAnswer], language: Language
) -> list[LegAnswer]:
    facts = [context.facts[unit.pk] for unit in context.units]
    names = [(unit, row.asked.point.name) for unit, of_unit in enumerate(asked) for row in of_unit.rows]
    numbers = {name: number for number, name in enumerate(names)}
    legs = []
    for number, leg, stops in legs_in_turn(facts, [[row.asked for row in of_unit.rows] for of_unit in asked]):
        unit = str(context.units[number])
        met = [StopAnswer(point=numbers[number, stop.point.name], places=list(stop.places)) for stop in stops]
        words = messages.render(Message("walk_leg", {"leg": leg}), language)
        to_sign = any(points[stop.point].is_answered_by_leg(stop.places) for stop in met)
        legs.append(LegAnswer(unit=unit, leg=leg, words=words, to_sign=to_sign, stops=met))
    return legs
