"""What a walk leaves without an answer, as dispatch hears it: silence and "not reached" alike, one step for a unit."""

import datetime as dt
import json
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from common.canonical import canonical_json
from defects.models import Clearance
from defects.selectors.records.unit_file.reports import read, rows
from fleet.selectors.records.unit_file.formatting import Words
from fleet.selectors.records.unit_file.sections import FileScope
from fleet.services.carrier.policies import set_policy
from tests.support.dock import Dock, codes, reason, unknowns
from tests.support.submissions import answer_to
from tests.support.walks import check, hand_in_as, walk_list_of, whole
from tests.support.yard import OWN_RULE

MINUTE, HOUR, DAY = (dt.timedelta(**{name: 1}) for name in ("minutes", "hours", "days"))
STEP = "no_answer_recorded"
EMERGENCY, STOP_LAMP, TREAD = "brakes.trailer.emergency-application", "lamps.trailer.stop", "tires.trailer.tread-depth"
STROKE = "brakes.service.pushrod-stroke"
DARK = check(STOP_LAMP, answer="not_reached", reason="dark")


def ask(dock: Dock, **more: Any) -> Clearance:
    return dock.ask(driver="iris", **more)


def step(asked: Clearance, unit: str) -> dict[str, Any]:
    (found,) = [row for row in asked.reasons if (row["code"], row["unit"]) == (STEP, unit)]
    return dict(found)


def walk(dock: Dock, found: dict[str, list[dict[str, Any]]] | None = None, **more: Any) -> None:
    dock.walk_all("iris", found=found, **more)


def test_walk_that_says_nothing__a_step_for_each_unit_and_no_yes(dock: Dock) -> None:
    dock.hand_in(*((unit, []) for unit in dock.units), by="iris", coupled=True)

    asked = ask(dock)

    assert asked.answer == "after_driver_steps"
    assert {(row["unit"], row["code"]) for row in asked.reasons} == {("LR-46", STEP), ("NL-13", STEP), ("CU-46", STEP)}
    facts = step(asked, "NL-13")["facts"]
    assert len(facts["points"]) == 3
    assert facts["count"] > 50
    assert "area_not_reached" in unknowns(asked)


def test_walk_that_covers_and_answers_everything__nothing_known_against(dock: Dock) -> None:
    walk(dock)

    asked = ask(dock)

    assert (asked.answer, unknowns(asked)) == ("nothing_known_against", [])


def test_said_not_to_be_reached__the_same_answer_as_said_nothing(dock: Dock) -> None:
    """On two drivers' walks that differ in this alone: who says so is no worse off."""
    walk(dock, {"LR-46": [DARK]})
    honest = ask(dock)
    listed = walk_list_of([dock.tractor, dock.trailer], dock["sol"], now=dock.now)
    listed["legs"] = [leg for leg in listed["legs"] if (leg["unit"], leg["leg"]) != ("LR-46", "trailer_rear")]
    hand_in_as(dock["sol"], whole(listed, dock.later()), now=dock.now)
    silent = dock.ask(driver="sol", at=dock.now + 24 * HOUR - HOUR / 2)

    assert (honest.answer, codes(honest)) == ("after_driver_steps", [STEP])
    assert step(honest, "LR-46")["facts"] == {"points": [STOP_LAMP], "count": 1}
    assert silent.answer == honest.answer
    assert STEP in codes(silent)


def test_answered_on_a_second_walk__no_step_is_left(dock: Dock) -> None:
    walk(dock, {"LR-46": [DARK]})
    dock.hand_in((dock.trailer, [answer_to(STOP_LAMP, "fine")]), by="iris", coupled=True)

    assert ask(dock).answer == "nothing_known_against"


@pytest.mark.parametrize("leg", ["trailer_rear", "trailer_left"])
def test_leg_of_a_second_walk__answers_what_is_in_it(dock: Dock, leg: str) -> None:
    walk(dock, {"LR-46": [DARK]})
    listed = walk_list_of([dock.tractor, dock.trailer], dock["iris"], now=dock.now, form="pick_up")
    listed["legs"] = [row for row in listed["legs"] if (row["unit"], row["leg"]) == ("LR-46", leg)]
    hand_in_as(dock["iris"], whole(listed, dock.later()), now=dock.now)

    left = [row["facts"]["points"] for row in ask(dock).reasons if row["code"] == STEP and row["unit"] == "LR-46"]

    assert any(STOP_LAMP in points for points in left) is (leg == "trailer_left")


def test_walk_en_route__adds_answers_and_asks_for_none(dock: Dock) -> None:
    walk(dock, {"LR-46": [DARK]})
    dock.hand_in((dock.trailer, []), (dock.tractor, []), by="iris", kind="en_route", coupled=True)
    assert [row["facts"] for row in ask(dock).reasons] == [{"points": [STOP_LAMP], "count": 1}]

    dock.hand_in((dock.trailer, [answer_to(STOP_LAMP, "fine")]), by="iris", kind="en_route", coupled=True)

    assert ask(dock).answer == "nothing_known_against"


def test_walk_en_route_alone__takes_the_place_of_none(dock: Dock) -> None:
    dock.walk_all("iris", form="en_route")

    assert {row["facts"]["why"] for row in ask(dock).reasons} == {"another_driver"}


def test_pick_up_alone__is_no_walk_of_the_tractor(dock: Dock) -> None:
    """It asks of a tractor nothing but the coupling: no brake, no horn, no lamp."""
    dock.walk_all("iris", form="pick_up")

    assert {row["unit"] for row in ask(dock).reasons if row["code"] == "walk_due"} == {str(dock.tractor)}


def test_walk_of_another_driver__answers_nothing_for_this_one(dock: Dock) -> None:
    """Sol, who walked it all over, is no team mate of Iris."""
    walk(dock, {"LR-46": [DARK]})

    assert codes(ask(dock)) == [STEP]


def test_no_driver_named__what_anybody_answered_lately_has_an_answer(dock: Dock) -> None:
    walk(dock, {"LR-46": [DARK]})

    assert codes(dock.ask()) == []


def test_carriers_own_point__not_known_and_no_step(dock: Dock) -> None:
    walk(dock, {"LR-46": [check("inside.cleanliness", answer="not_reached", reason="dark")]})
    dock.load("L-1")

    for asked in (ask(dock), ask(dock, load="L-1")):
        assert (asked.answer, unknowns(asked)) == ("nothing_known_against", ["area_not_reached"])


def test_answer_that_cannot_be_used__like_silence_where_required_else_unknown(dock: Dock) -> None:
    value = {"value": "900", "unit_of_measure": "32nds"}
    walk(dock, {"LR-46": [check(STOP_LAMP, answer="not_reached"), check(TREAD, "axle-1-left-outer", **value)]})

    asked = ask(dock)

    assert step(asked, "LR-46")["facts"] == {"points": [STOP_LAMP], "count": 1}
    assert [row["facts"] for row in asked.unknown] == [{"area": "tires", "why": "flagged"}]


def test_fault_reported_at_the_place__is_an_answer(dock: Dock) -> None:
    walk(dock, {"LR-46": [check(STOP_LAMP, answer="defect")]})

    assert STEP not in codes(ask(dock))


def test_walk_that_answers_for_a_later_one_grows_too_old__the_step_is_back(dock: Dock) -> None:
    walk(dock)
    answered_at = dock.now
    dock.later(3 * HOUR)
    walk(dock, {"LR-46": [DARK]})
    asked = ask(dock)
    assert (asked.answer, asked.first_to_end_it["code"]) == ("nothing_known_against", STEP)  # type: ignore[index]
    assert asked.valid_until == answered_at + 24 * HOUR

    late = ask(dock, at=answered_at + 24 * HOUR, hours=1)

    assert codes(late) == [STEP]
    assert reason(late, STEP)["ends_when"] == "points_answered"


@pytest.mark.parametrize("found", [[], [check("lamps.trailer.tail", answer="defect")]])
def test_units_file__shows_the_legs_with_their_times_and_how_much_has_an_answer(
    dock: Dock, found: list[dict[str, Any]]
) -> None:
    walk(dock, {"LR-46": [DARK, *found]})
    day = dock.now.date()

    *_, record = read(FileScope(dock.trailer, day, day, "UTC", dock.now))
    (row,) = rows(json.loads(canonical_json(record)), Words("en", ZoneInfo("UTC")))

    at = (dock.now - dt.timedelta(minutes=10)).strftime("%H:%M")
    assert f"trailer rear {at}" in row[2]
    assert ("93 of 94 points have an answer" in row[2]) is not bool(found)
    assert [left["point"] for left in record["left_open"]] == [STOP_LAMP]


def test_mechanics_point_answered_by_a_driver__nothing_left_that_no_driver_can_end(dock: Dock) -> None:
    """The answer stands flagged in its report; no walk asks a driver for it."""
    walk(dock)
    dock.hand_in((dock.trailer, [answer_to(STROKE, "fine", place="axle-1-left")]), by="iris", coupled=True)

    assert (unknowns(dock.ask()), unknowns(ask(dock))) == ([], [])


def test_walked_alone_after_that__points_that_only_run_coupled_fall_away(dock: Dock) -> None:
    dock.hand_in((dock.tractor, []), by="iris", coupled=True)
    both = step(ask(dock), "NL-13")["facts"]["count"]
    dock.hand_in((dock.tractor, []), by="iris", coupled=False)
    assert step(ask(dock), "NL-13")["facts"]["count"] < both


@pytest.mark.parametrize(("stricter", "left"), [(TREAD, []), (STOP_LAMP, [STOP_LAMP])])
def test_carrier_tightens_a_point_between_two_walks__that_one_alone_is_looked_at_again(
    dock: Dock, stricter: str, left: list[str]
) -> None:
    """The second walk says nothing, so that the legs of the first answer for what did not change."""
    walk(dock)
    rule = {**OWN_RULE, "point": stricter}
    set_policy(
        key="catalogue_tightening",
        value=[OWN_RULE, rule],
        valid_from=None,
        reason="stricter",
        actor=dock["vera"],
        now=dock.later(),
    )
    dock.hand_in(*((unit, []) for unit in dock.units), by="iris", coupled=True)

    steps = [row["facts"] for row in ask(dock).reasons if row["code"] == STEP]

    assert [facts["points"] for facts in steps] == ([left] if left else [])


# The full form, weekly


def test_full_walk_that_answers_all__not_due_for_a_week_and_said_from_then_on(dock: Dock) -> None:
    units = ["NL-13", "LR-46", "CU-46"]
    assert due_of(dock) == [{"units": units, "days": 7}]
    dock.walk_all(form="full")
    walked = dock.now
    assert due_of(dock) == []
    dock.later(7 * DAY - MINUTE)
    assert due_of(dock) == []
    assert dock.now - walked < 7 * DAY
    dock.later(MINUTE)
    assert due_of(dock) == [{"units": units, "days": 7}]


def test_full_walk_that_left_something__due_of_that_unit_and_bars_nothing(dock: Dock) -> None:
    listed = walk_list_of([dock.tractor, dock.trailer], dock["sol"], now=dock.now, form="full")
    walk = whole(listed, dock.later())
    for report in walk["reports"]:
        if report["unit"] == "LR-46":
            report["checks"] = [row for row in report["checks"] if row["point"] != EMERGENCY]
    hand_in_as(dock["sol"], walk, now=dock.now)
    assert dock.ask().answer == "nothing_known_against"  # by the daily walk of the same hour
    assert due_of(dock) == [{"units": ["LR-46"], "days": 7}]


def due_of(dock: Dock) -> list[dict[str, Any]]:
    return [row["facts"] for row in dock.ask().left_open if row["code"] == "full_walk_due"]
