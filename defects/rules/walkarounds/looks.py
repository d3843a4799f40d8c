"""What a walk asks of a unit, what the driver's signature over legs covers of it, and what is left without an answer.

A report is by exception (49 CFR 396.11(a)(2), 392.7): the driver signs for each leg that was looked at, and lists what
is wrong. A leg covers what the form asks on it; what is left is told by the kind of walk-around, whatever the form.
Silence covers nothing. Pure; nothing is looked up.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache

from defects.enums import Form, NotReached, Outcome
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.catalogue.closed_sets import AXLE_PLACE_TYPES, AnsweredBy, HowOften, Method
from defects.rules.catalogue.conditions import Match, Situation, match
from defects.rules.catalogue.observed import KIND_OF_FORM, Conditions, UnitFacts
from defects.rules.catalogue.places import leg_of, places_for
from defects.rules.catalogue.points import Point
from defects.rules.walkarounds.body import LookBody
from defects.rules.walkarounds.verdicts import Circumstances, Fault, Flag, FlagCode, Verdict

LOOKED_AT = frozenset({Method.LOOK, Method.READ, Method.COUNT, Method.FEEL, Method.LISTEN})
"""The methods whose points a signature over their leg covers; what is operated or measured is answered by itself."""

TIME_AROUND = timedelta(hours=1)
"""Our own default: a leg said to have been looked at longer before the walk-around began or after it ended."""

NO_ANSWER = "no_answer"
FLAGGED = "flagged"
"""Why a place is left without an answer, besides the words of `NotReached`."""


@dataclass(frozen=True, slots=True)
class AskedPoint:
    """A point asked of a unit, at its recorded places; none where the unit's axles are not recorded."""

    point: Point
    places: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Left:
    """A place without an answer, and why: a word of `NotReached`, 'flagged' or `no_answer`.

    `asked`: the walk asks it every time; what it does not was begun by the driver's own choice.
    """

    point: str
    place: str
    why: str
    required: bool


@dataclass(frozen=True, slots=True)
class Looks:
    """What one report says was looked at: of the places `asked`, those `covered` by a leg, and those `left` open.

    `legs` are those given, each with whether it counts.
    """

    legs: tuple[tuple[LookBody, bool], ...] = ()
    required: int = 0
    covered: int = 0
    left: tuple[Left, ...] = ()
    flags: tuple[Flag, ...] = ()


def asked_of(catalogue: Catalogue, unit: UnitFacts, conditions: Conditions, on: date) -> Iterator[AskedPoint]:
    """Every point that a kind of walk-around has for a unit under these conditions, in the order of the catalogue."""
    situation = Situation(unit, conditions)
    for point in catalogue.for_unit_kind(unit.kind):
        if conditions.walk_kind not in point.walks or (point.retired_on is not None and point.retired_on <= on):
            continue
        if match(point.applies_when, situation) is Match.NO:
            continue
        places = places_for(point, unit)
        if places or (not unit.axles and point.place_type in AXLE_PLACE_TYPES):
            yield AskedPoint(point, places)


def on_form(form: Form, rows: Iterable[AskedPoint]) -> tuple[AskedPoint, ...]:
    """What a form asks of the points of its kind of walk-around: what is asked every time, and in full the rest."""
    if form is Form.FULL:
        return tuple(rows)
    every_time = (row for row in rows if row.point.often is HowOften.EVERY_WALK)
    return tuple(row for row in every_time if not (form is Form.SEALED and row.point.behind_seal))


def answered_by(point: Point, place: str, faults: Collection[Fault]) -> AnsweredBy:
    """Whether a signature over the leg answers a place, `faults` being those open, deferred or newly repaired there."""
    by_leg = _is_looked_at(point) and (point.name, place) not in faults
    return AnsweredBy.LEG if by_leg else AnsweredBy.ONE_BY_ONE


def _is_looked_at(point: Point) -> bool:
    return point.method in LOOKED_AT and not (point.measure is not None and point.measure.required)


def look_over(
    reported: Sequence[LookBody],
    judged: Iterable[Verdict],
    unit: UnitFacts,
    under: Circumstances,
    faults: Collection[Fault],
) -> Looks:
    """What a report on a unit covers, answers and leaves without an answer. Raises nothing."""
    of_leg, asked = _listed(under.catalogues[0], unit, under.conditions, under.on)
    if under.named is not under.catalogues[0]:
        of_leg = {} if under.named is None else _listed(under.named, unit, under.conditions, under.on)[0]
    legs, flags = _legs(reported, of_leg.keys(), under)
    signed = (of_leg[look.leg] for look, counts in legs if counts)
    covered = frozenset[Fault]().union(*signed).difference(faults)
    answered, unanswered = _answers(judged)
    left = [
        Left(*fault, unanswered.get(fault, silent), required=True)
        for fault, silent in asked.items()
        if fault not in answered and (fault in unanswered or fault not in covered)
    ]
    by_choice = unanswered.keys() - answered - asked.keys()
    left += [Left(*fault, why, required=False) for fault, why in unanswered.items() if fault in by_choice]
    open_places = {(row.point, row.place) for row in left}
    by_leg = sum(fault not in answered and fault not in open_places for fault in asked)
    return Looks(legs, len(asked), by_leg, tuple(left), flags)


@lru_cache(maxsize=128)
def _listed(
    catalogue: Catalogue, unit: UnitFacts, conditions: Conditions, on: date
) -> tuple[Mapping[str, AbstractSet[Fault]], Mapping[Fault, str]]:
    """The legs of the form, each with the places on it that a signature answers; and the places asked every time.

    These are told by the kind of walk-around, each with why it has no answer where nothing is said. Kept, as units that
    are built alike are asked alike all day.
    """
    form, rows = conditions.walked_by, tuple(asked_of(catalogue, unit, conditions, on))
    shown = rows
    if form is not None and KIND_OF_FORM[form] != conditions.walk_kind:  # a phone that walked by another kind's list
        shown = tuple(asked_of(catalogue, unit, replace(conditions, walk_kind=KIND_OF_FORM[form]), on))
    of_leg: dict[str, set[Fault]] = defaultdict(set)
    for row in () if form is None else on_form(form, shown):
        by_leg = _is_looked_at(row.point)
        for place in row.places or ("",):
            answers = of_leg[leg_of(row.point, place, unit.kind)]
            if by_leg and row.places:
                answers.add((row.point.name, place))
    asked = {
        (row.point.name, place): NotReached.SEALED if form is Form.SEALED and row.point.behind_seal else NO_ANSWER
        for row in rows
        if row.point.often is HowOften.EVERY_WALK
        for place in row.places
    }
    return dict(of_leg), asked


def unlooked(reported: Sequence[LookBody], under: Circumstances) -> Looks:
    """What a report on a unit nobody knows says was looked at: kept until somebody says which unit it is."""
    flags = tuple(_without_list(look) for look in reported) if under.named is None else ()
    return Looks(tuple((look, False) for look in reported), flags=flags)


@dataclass(frozen=True, slots=True)
class EarlierLook:
    """A stored report, as far as it may answer what another one left open. `legs` are those that count."""

    conditions: Conditions
    legs: AbstractSet[str]
    answered: AbstractSet[Fault]
    left: AbstractSet[Fault]


def settles(
    look: EarlierLook, faults: Iterable[Fault], unit: UnitFacts, in_force: Catalogue, listed: Catalogue | None
) -> frozenset[Fault]:
    """Those of the faults' places that a report answers, by a check or by a leg.

    `listed` is the catalogue by which its legs were listed, None where that is not known. A leg answers for each point
    that stands in it as it stands in the one in force, to the last limit: whatever changed is looked at again.
    """
    return frozenset(
        (name, place)
        for name, place in faults
        if (name, place) in look.answered or _covers(look, (name, place), unit, in_force, listed)
    )


def _covers(look: EarlierLook, fault: Fault, unit: UnitFacts, in_force: Catalogue, listed: Catalogue | None) -> bool:
    point = in_force.get(fault[0])
    if point is None or listed is None or listed.get(fault[0]) != point:
        return False
    if fault in look.left or leg_of(point, fault[1], unit.kind) not in look.legs:
        return False
    form = look.conditions.walked_by
    asked = (
        form is not None and KIND_OF_FORM[form] in point.walks and bool(on_form(form, [AskedPoint(point, fault[1:])]))
    )
    applies = match(point.applies_when, Situation(unit, look.conditions)) is not Match.NO
    return asked and applies and answered_by(point, fault[1], ()) is AnsweredBy.LEG


def together(conditions: Conditions, road_units: int) -> Conditions:
    """The conditions with what the walk lists where nobody says whether the units were coupled."""
    return conditions if conditions.coupled is not None else replace(conditions, coupled=road_units > 1)


def _legs(
    reported: Sequence[LookBody], listed: AbstractSet[str], under: Circumstances
) -> tuple[tuple[tuple[LookBody, bool], ...], tuple[Flag, ...]]:
    judged, flags = [], []
    for look in reported:
        flag = _leg_flag(look, listed, under)
        judged.append((look, flag is None and under.time_known))
        if flag is not None:
            flags.append(flag)
    return tuple(judged), tuple(flags)


def _leg_flag(look: LookBody, listed: AbstractSet[str], under: Circumstances) -> Flag | None:
    if under.named is None:
        return _without_list(look)
    if not under.signed:
        return Flag(FlagCode.LEG_WITHOUT_SENTENCE, {"leg": look.leg})
    if look.leg not in listed:
        return Flag(FlagCode.LEG_NOT_OF_THIS_WALK, {"leg": look.leg})
    began, ended = sorted(under.walked)
    at = look.instant
    if at is not None and at.utcoffset() is None:
        return Flag(FlagCode.LEG_TIME_WITHOUT_OFFSET, {"leg": look.leg})
    if at is None or began - at > TIME_AROUND or at - ended > TIME_AROUND:
        return Flag(FlagCode.LEG_TIME_IMPLAUSIBLE, {"leg": look.leg})
    return None


def _without_list(look: LookBody) -> Flag:
    return Flag(FlagCode.LEG_WITHOUT_LIST, {"leg": look.leg})


def _answers(judged: Iterable[Verdict]) -> tuple[AbstractSet[Fault], Mapping[Fault, str]]:
    """The places that a check answers, and why the others that it names have no answer.

    What was reported as a fault is an answer, whatever else is odd about it: it stands as a defect.
    """
    answered: set[Fault] = set()
    unanswered: dict[Fault, str] = {}
    for verdict in judged:
        if verdict.outcome is Outcome.NOT_REACHED:
            unanswered[verdict.fault] = verdict.check.reason
        elif verdict.outcome is Outcome.FLAGGED and not verdict.is_reported:
            unanswered[verdict.fault] = FLAGGED
        else:
            answered.add(verdict.fault)
    return answered, unanswered
