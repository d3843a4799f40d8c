"""A unit that is held, or in the shop: its driver reads so, and foreman and dispatch hear of its trip."""

from datetime import timedelta
from typing import Any

import pytest

from common import clock
from common.ids import uuid7
from defects.models import Hold
from defects.services.defects.repair import Work, note_work_begun, note_work_ended, note_work_paused
from fleet.enums import NotificationKind
from fleet.models import Notification
from fleet.services.notifications.endings import still_active
from tests.factories.defects import LimitedMoveFactory
from tests.support.acting import acting_as
from tests.support.defects import MINUTE, held_stroke, unit
from tests.support.ninefold import person
from tests.support.walks import body, put, stroke

TASK = uuid7()
HELD = "Pushrod stroke, axle 2 right: 2.31 in, limit 2 in"


def walk(*units: str, kind: str = "pre_trip", by: str = "sol", **more: Any) -> Any:
    """The receipt of a walk-around that finds nothing."""
    reports = [{"unit": number, **more} for number in units]
    return put(acting_as(by), body(reports, finished_at=clock.now(), kind=kind))


def begin(number: str = "NL-15") -> None:
    """The shop begins to work on a unit."""
    job = Work(unit(number).pk, TASK, uuid7(), 1014, "B service")
    note_work_begun(job, now=clock.now() - MINUTE)


def notified() -> list[Notification]:
    return list(Notification.objects.filter(kind=NotificationKind.BARRED_UNIT_ON_ROAD).order_by("person__name"))


def test_held_unit_walked_by_another__hold_and_that_it_must_not_be_driven_are_read_also_on_a_replay() -> None:
    held_stroke()
    number = Hold.objects.get().number
    key, given = uuid7(), body([{"unit": "NL-15"}, {"unit": "LR-46"}], finished_at=clock.now())

    first = put(acting_as("sol"), given, key)
    again = put(acting_as("sol"), given, key, status=200)

    says = f"LR-46: hold {number} is active: {HELD}. Do not move it."
    for receipt in (first, again):
        assert receipt["says"].startswith(says)
        tractor, trailer = receipt["units"]
        assert tractor["barred_by"] == []
        assert trailer["barred_by"] == [{"hold": number, "order": None, "bars": "movement", "what": HELD, "says": says}]
    assert notified() == []


def test_unit_in_the_shop__its_driver_is_told_until_the_work_is_signed_paused_or_done() -> None:
    begin()
    (tractor,) = walk("NL-15")["units"]
    says = "NL-15 is in the shop, order 1014: B service. Do not move it."
    assert tractor["barred_by"] == [
        {"hold": None, "order": 1014, "bars": "movement", "what": "B service", "says": says}
    ]

    note_work_paused(TASK, undone="filter", cold_freight_too=False)
    assert walk("NL-15")["units"][0]["barred_by"] == []
    begin()
    assert walk("NL-15")["says"].startswith(says)
    note_work_ended([TASK])
    assert walk("NL-15")["units"][0]["barred_by"] == []


def test_cooling_unit_in_the_shop__bars_cold_freight_and_nobody_is_told_of_a_trip() -> None:
    begin("CU-45")
    receipt = walk("CU-45", kind="en_route")
    (bar,) = receipt["units"][0]["barred_by"]
    assert bar["bars"] == "cold_freight"
    assert receipt["says"].startswith(
        "CU-45 is in the shop, order 1014: B service. No new cold freight until it is done."
    )
    assert notified() == []


def test_hold_placed_by_the_walk_itself__said_once() -> None:
    receipt = walk("LR-45", kind="post_trip", checks=[stroke("axle-1-left", "2.31")])
    (bar,) = receipt["units"][0]["barred_by"]
    assert bar["hold"] == Hold.objects.get().number
    assert receipt["says"].startswith("Do not move LR-45. Foreman and dispatch are notified.")
    assert "is active" not in receipt["says"]
    assert notified() == []


@pytest.mark.parametrize("kind", ["en_route", "post_trip"])
def test_held_unit_on_the_road__foreman_and_dispatch_are_told_once_at_once(kind: str) -> None:
    held_stroke()
    hold = Hold.objects.get()

    receipt = walk("NL-15", "LR-46", kind=kind)

    told = notified()
    assert {note.person.name for note in told} >= {"Hob Anselm", "Cal Wick"}
    assert len({note.person_id for note in told}) == len(told)
    assert all(note.urgent and note.unit == hold.unit for note in told)
    assert {name["name"] for name in receipt["recipients"]} == {note.person.name for note in told}
    read = acting_as("hob").get("notices?kind=barred_unit_on_road").json()["results"]
    said = "Sol Marrin reports unit LR-46 on the road, Fri 6 Mar 12:00 PM, under hold"
    assert [note["text"] for note in read] == [f"{said} {hold.number}: {HELD}. Call the driver."]


def test_unit_in_the_shop_on_the_road__told_until_the_work_ends() -> None:
    begin()
    walk("NL-15", kind="en_route")
    rows = Notification.objects.filter(kind=NotificationKind.BARRED_UNIT_ON_ROAD)
    assert still_active(rows).count() == rows.count() > 0
    note_work_ended([TASK])
    assert still_active(rows).count() == 0


def test_held_before_the_walk_or_not__a_trip_that_ended_before_is_nobody_s() -> None:
    held_stroke()
    earlier = body([{"unit": "LR-46"}], finished_at=clock.now() - timedelta(hours=2), kind="post_trip")
    put(acting_as("sol"), earlier)
    assert notified() == []


@pytest.mark.parametrize(
    ("shown", "says"),
    [
        ("1003.5", "Drive only the permitted trip."),
        ("1003.6", "3.6 miles driven, 3.5 permitted. Stop where it is safe, then call dispatch."),
        (
            "",
            "Drive only the permitted trip. Its miles are not known: read the odometer. 3.5 miles are permitted.",
        ),
    ],
)
def test_limited_move__the_driver_is_told_of_its_miles_by_the_odometer(shown: str, says: str) -> None:
    held_stroke()
    LimitedMoveFactory.create(
        unit=unit(),
        driver=person("sol"),
        distance_mi="3.5",
        approved_at=clock.now() - MINUTE,
        from_mi=1000,
        ends_at=clock.now() + timedelta(hours=3),
    )
    meters = [{"meter": "odometer_mi", "shown": shown}] if shown else []
    key = uuid7()
    given = body([{"unit": "LR-46", "meters": meters}], finished_at=clock.now(), kind="en_route")

    receipts = put(acting_as("sol"), given, key), put(acting_as("sol"), given, key, status=200)

    said = f"LR-46: hold {Hold.objects.get().number} is active: {HELD}. {says}"
    assert [receipt["units"][0]["barred_by"][0]["says"] for receipt in receipts] == [said, said]


def test_limited_move_that_is_permitted__its_trip_tells_nobody() -> None:
    held_stroke()
    LimitedMoveFactory.create(
        unit=unit(), driver=person("sol"), approved_at=clock.now() - MINUTE, ends_at=clock.now() + timedelta(hours=3)
    )  # nobody read an odometer
    key, given = uuid7(), body([{"unit": "LR-46"}], finished_at=clock.now(), kind="en_route")
    receipts = put(acting_as("sol"), given, key), put(acting_as("sol"), given, key, status=200)
    assert notified() == []
    says = f"LR-46: hold {Hold.objects.get().number} is active: {HELD}. Drive only the permitted trip."
    assert [receipt["says"].startswith(says) for receipt in receipts] == [True, True]
