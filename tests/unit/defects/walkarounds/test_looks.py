"""What a walk asks, what a signature over its legs covers, what is answered one by one, and what is left open."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from defects.enums import Bars, Leg, Severity
from defects.rules.catalogue.catalogue import Catalogue, load_catalogue
from defects.rules.catalogue.closed_sets import AnsweredBy
from defects.rules.catalogue.observed import Conditions, UnitFacts
from defects.rules.catalogue.places import leg_of
from defects.rules.walkarounds.assess import assess_report
from defects.rules.walkarounds.body import CheckBody, LookBody
from defects.rules.walkarounds.lap import LAP
from defects.rules.walkarounds.looks import EarlierLook, Looks, answered_by, asked_of, look_over, settles, together
from defects.rules.walkarounds.verdicts import Circumstances, FlagCode
from tests.support.rule_facts import BY_DAY, DRIVER, TODAY, TRACTOR, TRAILER, UNITS, point
from tests.support.submissions import given_check, leg_seen, report_on

BEGAN = datetime(2026, 3, 6, 12, tzinfo=UTC)
ENDED = BEGAN + timedelta(minutes=30)
HOUR = timedelta(hours=1)
STOP_LAMP, DOORS, NUTS = "lamps.trailer.stop", "doors.rear.closure", "wheels.trailer.nuts"
EMERGENCY = "brakes.trailer.emergency-application"


def walked(**changes: Any) -> Circumstances:
    known = load_catalogue()
    plain = Circumstances((known,), BY_DAY, TODAY, lambda _: DRIVER, named=known, walked=(BEGAN, ENDED), signed=True)
    return replace(plain, **changes)


def legs(*names: str, at: datetime = BEGAN) -> tuple[LookBody, ...]:
    return tuple(leg_seen(name, at.isoformat()) for name in names or map(str, LAP))


def look(
    given: Iterable[LookBody] = (),
    *checks: CheckBody,
    unit: UnitFacts = TRAILER,
    faults: Iterable[tuple[str, str]] = (),
    under: Circumstances | None = None,
) -> Looks:
    circumstances = Circumstances((load_catalogue(),), BY_DAY, TODAY, lambda _point: DRIVER)
    judged = assess_report(report_on("LR-45", checks), unit, circumstances).judged
    return look_over(tuple(given), judged, unit, under or walked(), frozenset(faults))


def of_trailer(kind: str = "pre_trip") -> list[str]:
    """The legs that the walk lists for the trailer."""
    return of_unit(TRAILER, kind)


def of_unit(unit: UnitFacts, kind: str = "pre_trip") -> list[str]:
    asked = asked_of(load_catalogue(), unit, replace(BY_DAY, walk_kind=kind), TODAY)
    return list(dict.fromkeys(str(leg_of(row.point, place, unit.kind)) for row in asked for place in row.places))


def left(looks: Looks) -> dict[tuple[str, str], str]:
    return {(row.point, row.place): row.why for row in looks.left if row.required}


def test_no_leg_and_no_answer__nothing_is_covered_and_everything_is_left() -> None:
    looks = look()

    assert looks.required > 50
    assert (looks.covered, len(looks.left)) == (0, looks.required)
    assert {row.why for row in looks.left} == {"no_answer"}


def test_every_leg_signed_for__only_what_is_answered_one_by_one_is_left() -> None:
    looks = look(legs(*of_trailer()))

    assert looks.covered > 0
    assert looks.covered + len(looks.left) == looks.required
    for name, place in left(looks):
        assert answered_by(point(name), place, ()) is AnsweredBy.ONE_BY_ONE
    assert {EMERGENCY, DOORS} <= {name for name, _ in left(looks)}


def test_one_leg__covers_its_own_places_alone() -> None:
    looks = look(legs("trailer_rear"))

    assert (STOP_LAMP, "") not in left(looks)
    of_others = {leg_of(point(name), place, "trailer") for name, place in left(looks)}
    assert of_others >= {Leg.TRAILER_LEFT, Leg.TRAILER_RIGHT, Leg.INSIDE_BOX}


@pytest.mark.parametrize(
    ("name", "by"),
    [
        (STOP_LAMP, AnsweredBy.LEG),
        ("air.lines.condition", AnsweredBy.LEG),
        ("cooling.fuel.level", AnsweredBy.ONE_BY_ONE),  # read, and its figure is required
        (DOORS, AnsweredBy.ONE_BY_ONE),  # operated
        ("air.leak.applied-coupled", AnsweredBy.ONE_BY_ONE),  # timed
        ("engine.belts", AnsweredBy.ONE_BY_ONE),  # measured, its figure not required
        ("brakes.service.rolling-stop", AnsweredBy.ONE_BY_ONE),  # driven
    ],
)
def test_method__says_whether_a_leg_answers(name: str, by: AnsweredBy) -> None:
    assert answered_by(point(name), "", ()) is by


def test_fault_at_the_place__answered_by_itself_there_and_nowhere_else() -> None:
    looks = look(legs(*of_trailer()), faults=[("lamps.trailer.turn", "left")])

    assert ("lamps.trailer.turn", "left") in left(looks)
    assert ("lamps.trailer.turn", "right") not in left(looks)


def test_answers__each_kind_answers_its_place_except_not_reached_and_flagged() -> None:
    looks = look(
        (),
        given_check(STOP_LAMP, "", "fine"),
        given_check(EMERGENCY, "", "defect"),
        given_check("body.lift-gate", "", "not_applicable"),
        given_check(DOORS, "left", "not_reached", reason="blocked"),
        given_check("lamps.trailer.tail", "", "not_reached"),
    )

    open_places = left(looks)
    assert (STOP_LAMP, "") not in open_places
    assert (EMERGENCY, "") not in open_places
    assert ("body.lift-gate", "") not in open_places
    assert open_places[DOORS, "left"] == "blocked"
    assert open_places["lamps.trailer.tail", ""] == "flagged"


def test_said_not_to_be_reached__the_leg_does_not_say_otherwise() -> None:
    looks = look(legs(*of_trailer()), given_check(STOP_LAMP, "", "not_reached", reason="dark"))

    assert left(looks)[STOP_LAMP, ""] == "dark"


def test_answered_and_covered__counted_once() -> None:
    plain = look(legs(*of_trailer()))
    looks = look(legs(*of_trailer()), given_check(STOP_LAMP, "", "fine"))

    assert (looks.covered, looks.left) == (plain.covered - 1, plain.left)


def test_not_asked_every_time_and_tried__kept_as_begun_by_choice() -> None:
    looks = look(legs(*of_trailer()), given_check("guard.rear.height", "", "not_reached", reason="dark"))

    assert [(row.point, row.why) for row in looks.left if not row.required] == [("guard.rear.height", "dark")]
    assert looks.required == look().required


@pytest.mark.parametrize(
    ("given", "under", "code"),
    [
        (legs("no_such_leg"), walked(), FlagCode.LEG_NOT_OF_THIS_WALK),
        (legs("cab"), walked(), FlagCode.LEG_NOT_OF_THIS_WALK),  # a tractor's leg
        (legs("inside_box"), walked(conditions=replace(BY_DAY, walk_kind="drop")), FlagCode.LEG_NOT_OF_THIS_WALK),
        (legs("trailer_left", at=BEGAN - 2 * HOUR), walked(), FlagCode.LEG_TIME_IMPLAUSIBLE),
        (legs("trailer_left", at=ENDED + 2 * HOUR), walked(), FlagCode.LEG_TIME_IMPLAUSIBLE),
        ((leg_seen("trailer_left", "this morning"),), walked(), FlagCode.LEG_TIME_IMPLAUSIBLE),
        ((leg_seen("trailer_left", "2026-03-06T12:00:00"),), walked(), FlagCode.LEG_TIME_WITHOUT_OFFSET),
        ((leg_seen("trailer_left", "0001-01-01T00:00:00+14:00"),), walked(), FlagCode.LEG_TIME_IMPLAUSIBLE),
        ((leg_seen("trailer_left"),), walked(), FlagCode.LEG_TIME_IMPLAUSIBLE),
        (legs("trailer_left"), walked(named=None), FlagCode.LEG_WITHOUT_LIST),
    ],
)
def test_leg_that_cannot_be_taken__kept_flagged_and_counts_for_nothing(
    given: tuple[LookBody, ...], under: Circumstances, code: FlagCode
) -> None:
    looks = look(given, under=under)

    assert looks.legs == ((given[0], False),)
    assert [flag.code for flag in looks.flags] == [code]
    assert looks.covered == 0


def test_walk_in_the_year_one__its_legs_are_judged_all_the_same() -> None:
    first = datetime(1, 1, 1, tzinfo=UTC)

    assert look(legs("trailer_left", at=first), under=walked(walked=(first, first))).covered > 0


def test_time_of_the_walk_not_known__no_leg_counts() -> None:
    looks = look(legs(*of_trailer()), under=walked(time_known=False))

    assert looks.covered == 0
    assert all(not counts for _, counts in looks.legs)


def test_older_list__covers_nothing_that_it_did_not_have() -> None:
    known = load_catalogue()
    older = Catalogue({name: value for name, value in known.points.items() if name != STOP_LAMP})

    looks = look(legs(*of_trailer()), under=walked(named=older))

    assert (STOP_LAMP, "") in left(looks)
    assert ("lamps.trailer.tail", "") not in left(looks)


def test_uncoupled__what_only_runs_coupled_is_not_asked() -> None:
    alone = {row.point.name for row in asked_of(load_catalogue(), TRAILER, replace(BY_DAY, coupled=False), TODAY)}

    assert alone.isdisjoint({STOP_LAMP, EMERGENCY})


def test_axles_not_recorded__the_stop_is_there_without_places_and_asks_nothing() -> None:
    bare = replace(TRAILER, axles=())
    asked = {row.point.name: row.places for row in asked_of(load_catalogue(), bare, BY_DAY, TODAY)}

    assert asked["tires.trailer.pressure"] == ()
    assert look(unit=bare).required < look().required


@pytest.mark.parametrize(("given", "road_units", "coupled"), [(None, 2, True), (None, 1, False), (False, 2, False)])
def test_nobody_says_whether_coupled__as_the_walk_lists_them(
    given: bool | None, road_units: int, coupled: bool
) -> None:
    assert together(Conditions(coupled=given), road_units).coupled is coupled


@pytest.mark.parametrize("kind", ["tractor", "trailer", "cooling_unit"])
def test_every_leg_and_every_answer__nothing_is_left(kind: str) -> None:
    """One by one is asked of nothing that a driver may not answer."""
    unit = UNITS[kind]
    named = of_unit(unit)
    open_places = look(legs(*named), unit=unit).left
    assert {str(point(row.point).who) for row in open_places} <= {"driver", "driver_with_helper"}

    answers = [given_check(row.point, row.place, "not_reached", reason="other") for row in open_places]

    assert {row.why for row in look(legs(*named), *answers, unit=unit).left} == {"other"}


# What another walk of the same driver answers

OPEN = (STOP_LAMP, "")


def earlier(**changes: Any) -> EarlierLook:
    plain = EarlierLook(BY_DAY, frozenset({"trailer_rear"}), frozenset(), frozenset())
    return replace(plain, **changes)


@pytest.mark.parametrize(
    ("other", "settled"),
    [
        (earlier(), True),
        (earlier(legs=frozenset({"trailer_left"})), False),
        (earlier(legs=frozenset(), answered=frozenset({OPEN})), True),
        (earlier(left=frozenset({OPEN})), False),
        (earlier(conditions=replace(BY_DAY, walk_kind="drop")), False),
        (earlier(conditions=replace(BY_DAY, coupled=False)), False),
    ],
)
def test_another_report__settles_what_it_answers_or_covers(other: EarlierLook, settled: bool) -> None:
    in_force = load_catalogue()
    assert settles(other, [OPEN], TRAILER, in_force, in_force) == (frozenset({OPEN}) if settled else frozenset())


def changed(name: str) -> Catalogue:
    """The catalogue with one finding of a point graded otherwise."""
    first, *rest = point(name).findings
    stricter = replace(first, severity=Severity.DO_NOT_MOVE, bars=Bars.MOVEMENT)
    points = {**load_catalogue().points, name: replace(point(name), findings=(stricter, *rest))}
    return Catalogue.of(points.values())


@pytest.mark.parametrize(
    ("listed", "other", "settled"),
    [
        (changed(DOORS), earlier(), True),
        (changed(STOP_LAMP), earlier(), False),
        (None, earlier(), False),
        (None, earlier(answered=frozenset({OPEN})), True),
    ],
)
def test_leg_listed_by_another_catalogue__answers_for_each_point_that_is_still_the_same(
    listed: Catalogue | None, other: EarlierLook, settled: bool
) -> None:
    assert settles(other, [OPEN], TRAILER, load_catalogue(), listed) == (frozenset({OPEN}) if settled else frozenset())


def test_leg_of_another_report__settles_nothing_that_is_answered_one_by_one() -> None:
    of_others = [(DOORS, "left"), ("no.such.point", "")]
    assert settles(earlier(), of_others, TRACTOR, load_catalogue(), load_catalogue()) == frozenset()
