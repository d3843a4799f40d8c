"""Laying out the walk over one combination: leg by leg, each point at each unit's own places."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from common import messages
from common.messages import Message
from defects.api.points.words import Body, condition_body, measure_body, source_body, text_or_none, texts
from defects.enums import Bars, Listing
from defects.models import Defect, Measurement
from defects.rules.catalogue.conditions import Situation
from defects.rules.catalogue.facts import Conditions, UnitFacts
from defects.rules.catalogue.places import axle_of, describe
from defects.rules.catalogue.points import Finding, Point
from defects.rules.catalogue.shown_limits import ShownLimit, limits_at
from defects.rules.clearance.defects import stops_movement
from defects.rules.vocabulary import Language
from defects.rules.walkarounds.answers import may_pass
from defects.rules.walkarounds.grading import grade_here
from defects.rules.walkarounds.looks import answered_by, stops_of
from defects.rules.walkarounds.verdicts import Verdict
from defects.selectors.walk import WalkGround
from defects.selectors.words import what_of_defect
from fleet.models import Unit


def walk_body(ground: WalkGround, kind: str, language: Language) -> Body:
    """The whole walk of one kind in a language."""
    stops = list(_stops(ground, kind, language))
    shown = {number for stop in stops for number in _shown_defects(stop)}
    elsewhere = [
        _defect(defect, ground, language)
        for defects in ground.open_defects.values()
        for defect in defects
        if defect.number not in shown
    ]
    return {
        "catalogue": ground.catalogue.content_hash,
        "kind": kind,
        "units": [_unit(unit) for unit in ground.units],
        "coupled": ground.coupled,
        "legs": _legs(stops, language),
        "to_sign": messages.render(Message("walk_to_sign"), language),
        "stops": stops,
        "elsewhere": elsewhere,
    }


def _legs(stops: Sequence[Body], language: Language) -> list[Body]:
    """The legs of each unit, once, in the order of the walk."""
    listed = dict.fromkeys((str(stop["unit"]), str(stop["leg"])) for stop in stops)
    words = {leg: messages.render(Message("walk_leg", {"leg": leg}), language) for _, leg in listed}
    return [{"unit": unit, "leg": leg, "words": words[leg]} for unit, leg in listed]


@dataclass(frozen=True)
class _Asked:
    """One point asked on one unit, with all that its answer is filled from."""

    ground: WalkGround
    point: Point
    unit: Unit
    facts: UnitFacts
    conditions: Conditions
    language: Language


def _stops(ground: WalkGround, kind: str, language: Language) -> Iterator[Body]:
    conditions = Conditions(coupled=ground.coupled, walk_kind=kind)
    asked = {
        (stop.point.name, unit.pk): stop
        for unit in ground.units
        for stop in stops_of(ground.catalogue, ground.facts[unit.pk], conditions, ground.today)
    }
    for point in ground.catalogue.points.values():
        for unit in ground.units:
            stop = asked.get((point.name, unit.pk))
            if stop is not None:
                yield _stop(_Asked(ground, point, unit, ground.facts[unit.pk], conditions, language), stop.places)


def _stop(asked: _Asked, places: tuple[str, ...]) -> Body:
    point = asked.point
    text = point.text[asked.language]
    return {
        "unit": str(asked.unit),
        "leg": str(point.leg),
        "point": point.name,
        "title": text.title,
        "ask": text.ask,
        "caution": text.caution,
        "standing": str(point.standing),
        "system": str(point.system),
        "place_type": str(point.place_type),
        "who": str(point.who),
        "may_answer": may_pass(point, asked.ground.observe(point)),
        "method": str(point.method),
        "tools": texts(point.tools),
        "preconditions": texts(point.preconditions),
        "often": str(point.often),
        "measure": None if point.measure is None else measure_body(point.measure),
        "findings": [condition_body(finding, asked.language) for finding in point.findings],
        "correctable": point.correctable,
        "optional": point.optional,
        "behind_seal": point.behind_seal,
        "places": [_place(asked, place) for place in places],
    }


def _place(asked: _Asked, place: str) -> Body:
    ground, point = asked.ground, asked.point
    spot = (asked.unit.pk, point.name, place)
    situation = Situation(asked.facts, asked.conditions, place, axle_of(place, point, asked.facts))
    last = ground.last.get(spot)
    return {
        "place": place,
        "answered_by": str(answered_by(point, place, ground.one_by_one.get(asked.unit.pk, frozenset()))),
        "words": describe(place, asked.language) if place else "",
        "limits": [_limit(point, shown, situation) for shown in limits_at(point, situation, ground.today)],
        "findings": [_finding(point, finding, situation) for finding in point.findings],
        "last_value": None if last is None else _last(last, ground),
        "open_defects": [_defect(defect, ground, asked.language) for defect in ground.open_defects.get(spot, ())],
    }


def _limit(point: Point, shown: ShownLimit, situation: Situation) -> Body:
    grade = grade_here(point, shown.limit, situation)
    return {
        "id": shown.limit.id,
        "fails_when": str(shown.limit.fails_when),
        "value": text_or_none(shown.figure),
        "low": text_or_none(shown.low),
        "high": text_or_none(shown.high),
        **_grade(grade),
        "certain": shown.certain and not grade.queries,
        "source": source_body(shown.limit.source),
    }


def _finding(point: Point, finding: Finding, situation: Situation) -> Body:
    grade = grade_here(point, finding, situation)
    return {"code": finding.code, **_grade(grade), "certain": not grade.queries}


def _grade(grade: Verdict) -> Body:
    """As the receipt will give it; what is listed keeps the unit from moving until it is certified."""
    stops = stops_movement(grade.bars, listed=grade.listing is not Listing.NOTED)
    return {
        "severity": str(grade.severity),
        "bars": str(Bars.MOVEMENT if stops else grade.bars),
        "listing": str(grade.listing),
    }


def _last(last: Measurement, ground: WalkGround) -> Body:
    return {
        "value": text_or_none(last.value),
        "unit_of_measure": last.unit_of_measure,
        "measured_at": last.measured_at,
        "age_days": (ground.now - last.measured_at).days,
    }


def _defect(defect: Defect, ground: WalkGround, language: Language) -> Body:
    return {
        "number": defect.number,
        "severity": defect.severity,
        "what": what_of_defect(defect, ground.catalogue, language),
        "found_at": defect.found_at,
    }


def _shown_defects(stop: Body) -> Iterator[int]:
    places = stop["places"]
    if isinstance(places, list):
        for place in places:
            yield from (defect["number"] for defect in place["open_defects"])


def _unit(unit: Unit) -> Body:
    return {"id": unit.pk, "kind": unit.kind, "number": unit.number, "owner": unit.owner}
