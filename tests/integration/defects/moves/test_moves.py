"""Moves of a barred unit: in the yard, and on the road to the nearest safe repair place (396.7(b))."""

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest

from common.errors import Conflict, Invalid, NotAllowed, NotFound
from common.ids import uuid7
from defects.models import Hold, YardMove
from defects.services.moves import end_limited_move, notify_of_passed_moves, record_yard_move
from fleet.enums import NotificationKind, ReadingState
from fleet.models import MeterReading, Notification, Site, Whereabouts
from fleet.services.notifications.endings import still_active
from tests.factories.fleet import MeterReadingFactory, history_of, make_site
from tests.support.refusals import refused, refuses
from tests.support.yard import HOUR, TAPE, Yard


@pytest.fixture
def site(db: None) -> Site:
    return make_site("North Yard")


def to_bay(yard: Yard, site: Site, by: str = "iris", *, at: dt.datetime | None = None) -> YardMove:
    return record_yard_move(
        unit_id=yard.trailer.pk,
        site=site,
        from_place="row 4",
        to_place="bay 2",
        reason="brake over its limit",
        moved_at=at or yard.now,
        actor=yard[by],
        now=yard.now,
    )


@pytest.mark.parametrize("by", ["iris", "greta", "hob"])
def test_yard_move_of_a_held_unit__recorded_and_lifts_nothing(yard: Yard, site: Site, by: str) -> None:
    yard.stroke()

    move = to_bay(yard, site, by)

    assert (move.person, move.to_place) == (yard[by], "bay 2")
    assert history_of(yard.trailer)[-1] == "yard_move"
    assert Hold.objects.get().lifted_at is None
    at = Whereabouts.objects.get(unit=yard.trailer)
    assert (at.location, at.site, at.address, at.since) == ("site", site, "bay 2", move.moved_at)


def test_yard_move_under_an_officers_order__refused(yard: Yard, site: Site) -> None:
    """396.9(c)(2) knows no exception for private ground."""
    order = yard.officers_order(yard.stroke())
    with refused(Conflict, "order_forbids_move", hold=order.number):
        to_bay(yard, site)
    assert not YardMove.objects.exists()


def test_yard_move_long_before_the_unit_was_on_record__refused(yard: Yard, site: Site) -> None:
    with refused(Invalid, "instant_too_early", earliest=yard.trailer.known_from):
        to_bay(yard, site, at=yard.trailer.known_from - HOUR)


def test_yard_move_in_the_future_or_by_dispatch__refused(yard: Yard, site: Site) -> None:
    with pytest.raises(Invalid):
        to_bay(yard, site, at=yard.now + HOUR)
    with pytest.raises(NotAllowed):
        to_bay(yard, site, "cal")
    assert not YardMove.objects.exists()


def test_found_unsafe_on_the_highway__one_trip_with_everything_said(yard: Yard) -> None:
    yard.stroke()

    move = yard.allow_move()

    assert (move.driver, move.approved_by, move.distance_mi) == (yard["sol"], yard["hob"], Decimal("4.5"))
    assert (move.ends_at, move.ended_at) == (yard.now + 2 * HOUR, None)
    assert history_of(yard.trailer)[-1] == "limited_move_allowed"
    assert Hold.objects.get().lifted_at is None


def test_never_under_an_officers_order(yard: Yard) -> None:
    order = yard.officers_order(yard.stroke())
    assert refuses(Conflict, "order_forbids_move", yard.allow_move).facts["hold"] == order.number


def test_order_lifted__allowed_again(yard: Yard) -> None:
    stroke = yard.stroke()
    order = yard.officers_order(stroke)
    yard.repaired_stroke(stroke)
    yard.lift(order)
    yard.stroke("2.20", by="sol")
    assert yard.allow_move().ended_at is None
    assert history_of(yard.trailer)[-1] == "limited_move_allowed"


def test_nothing_found_unsafe__refused(yard: Yard) -> None:
    yard.finding(TAPE, finding="damaged")
    refuses(Conflict, "nothing_found_unsafe", yard.allow_move)


def test_unit_that_a_driver_refused__refused_until_somebody_looked(yard: Yard) -> None:
    yard.stroke()
    yard.refuse("iris", unit=yard.trailer)
    refuses(Conflict, "refusal_waits", yard.allow_move)


@pytest.mark.parametrize(
    ("asked", "pointer", "code"),
    [
        ({"found_on_highway": False}, "/found_on_highway", "only_from_the_highway"),
        ({"found_at_place": " "}, "/found_at_place", "required"),
        ({"to_place": ""}, "/to_place", "required"),
        ({"why_nearest": ""}, "/why_nearest", "required"),
        ({"why_less_hazardous": "  "}, "/why_less_hazardous", "required"),
        ({"distance_mi": Decimal(0)}, "/distance_mi", "min_value"),
        ({"distance_mi": Decimal("100.1")}, "/distance_mi", "limited_move_too_far"),
    ],
)
def test_condition_of_396_7_b_not_met__refused(yard: Yard, asked: dict[str, Any], pointer: str, code: str) -> None:
    yard.stroke()
    found = refuses(Invalid, "limited_move_refused", yard.allow_move, **asked)
    assert [(problem.pointer, problem.code) for problem in found.problems] == [(pointer, code)]


def test_driver__must_be_another_person_who_is_a_driver_and_has_consented(yard: Yard) -> None:
    yard.stroke()
    for asked, code in (
        ({"driver": yard["hob"]}, "driver_consents_for_themselves"),
        ({"driver": yard["greta"]}, "not_a_driver"),
        ({"driver_consented_at": yard.now + HOUR}, "instant_in_future"),
        ({"driver_consented_at": yard.now - HOUR}, "instant_too_early"),
    ):
        found = refuses(Invalid, "limited_move_refused", yard.allow_move, **asked)
        assert [problem.code for problem in found.problems] == [code]


@pytest.mark.parametrize("hours", [0, -1, 24.1])
def test_end__in_time_to_come_and_within_a_day(yard: Yard, hours: float) -> None:
    yard.stroke()
    found = refuses(Invalid, "limited_move_refused", yard.allow_move, ends_at=yard.now + hours * HOUR)
    assert [problem.code for problem in found.problems] == ["limited_move_too_long"]


def test_second_one_meanwhile__refused_until_the_first_is_ended(yard: Yard) -> None:
    yard.stroke()
    move = yard.allow_move()
    refuses(Conflict, "move_allowed_already", yard.allow_move)
    end_limited_move(move_id=move.pk, ended_at=yard.now, note="there", actor=yard["sol"], now=yard.now)
    yard.allow_move()


@pytest.mark.parametrize("by", ["iris", "greta", "vera", "cal"])
def test_nobody_but_a_foreman__allows_one(yard: Yard, by: str) -> None:
    yard.stroke()
    refuses(NotAllowed, "role_not_allowed", yard.allow_move, by)


@pytest.mark.parametrize("by", ["sol", "hob"])
def test_ended__by_its_driver_or_a_foreman(yard: Yard, by: str) -> None:
    yard.stroke()
    move = yard.allow_move()

    end_limited_move(move_id=move.pk, ended_at=yard.later(), note="in the bay", actor=yard[by], now=yard.now)

    move.refresh_from_db()
    assert (move.ended_at, move.end_note) == (yard.now, "in the bay")
    assert history_of(yard.trailer)[-1] == "limited_move_ended"


def test_ended_by_another_driver__not_found(yard: Yard) -> None:
    yard.stroke()
    move = yard.allow_move()
    for key, by in ((move.pk, "iris"), (uuid7(), "hob")):
        with pytest.raises(NotFound):
            end_limited_move(move_id=key, ended_at=yard.now, note="", actor=yard[by], now=yard.now)


def test_ended_twice_or_at_an_impossible_time__refused(yard: Yard) -> None:
    yard.stroke()
    move = yard.allow_move()
    for at in (yard.now + HOUR, yard.now - HOUR):
        with pytest.raises(Invalid):
            end_limited_move(move_id=move.pk, ended_at=at, note="", actor=yard["sol"], now=yard.now)
    end_limited_move(move_id=move.pk, ended_at=yard.now, note="", actor=yard["sol"], now=yard.now)
    with pytest.raises(Conflict):
        end_limited_move(move_id=move.pk, ended_at=yard.now, note="", actor=yard["sol"], now=yard.now)


# Its miles and its time


def odometer(yard: Yard, total: str, at: dt.datetime, **more: Any) -> MeterReading:
    given = {"meter": "odometer_mi", "shown": total, "total": total, "read_at": at, "recorded_at": at, **more}
    return MeterReadingFactory.create(unit=yard.trailer, recorded_by=yard["sol"], **given)


def passed() -> list[tuple[str, str, Any]]:
    rows = Notification.objects.filter(kind=NotificationKind.LIMITED_MOVE_PASSED).order_by("person__name")
    return [(row.person.name, row.code, row.facts.get("driven_mi")) for row in rows]


@pytest.mark.parametrize(("total", "told"), [("1004.4", []), ("1004.5", []), ("1004.6", ["4.6"])])
def test_miles_of_a_limited_move__dispatch_is_notified_once_they_are_passed(
    yard: Yard, total: str, told: list[str]
) -> None:
    yard.stroke()
    odometer(yard, "1000.0", yard.now)
    move = yard.allow_move()
    assert move.from_mi == 1000
    odometer(yard, total, yard.now + HOUR)
    for minutes in (61, 62):
        notify_of_passed_moves(now=yard.now + dt.timedelta(minutes=minutes))

    assert [(code, driven) for _, code, driven in passed()] == [("limited_move_miles_passed", each) for each in told]
    assert {name for name, _, _ in passed()} == ({yard["cal"].name} if told else set())


def test_odometer_read_before_the_fault_was_found_or_set_aside__counts_no_miles(yard: Yard) -> None:
    odometer(yard, "10.0", yard.now - HOUR)
    yard.stroke()
    move = yard.allow_move()
    assert move.from_mi is None
    odometer(yard, "9000.0", yard.now + HOUR)
    notify_of_passed_moves(now=yard.now + HOUR)
    assert passed() == []


def test_reading_that_was_set_aside__passes_no_miles(yard: Yard) -> None:
    yard.stroke()
    odometer(yard, "1000.0", yard.now)
    yard.allow_move()
    odometer(yard, "9000.0", yard.now + HOUR, state=ReadingState.SET_ASIDE, flag="implausible")
    notify_of_passed_moves(now=yard.now + HOUR)
    assert passed() == []


def test_time_of_a_limited_move__dispatch_is_notified_while_the_unit_is_barred_until_it_is_ended(yard: Yard) -> None:
    yard.stroke()
    move = yard.allow_move()
    notify_of_passed_moves(now=move.ends_at - dt.timedelta(seconds=1))
    assert passed() == []
    notify_of_passed_moves(now=move.ends_at)
    assert [(name, code) for name, code, _ in passed()] == [(yard["cal"].name, "limited_move_time_passed")]

    rows = Notification.objects.filter(kind=NotificationKind.LIMITED_MOVE_PASSED)
    assert still_active(rows).count() == 1
    end_limited_move(move_id=move.pk, ended_at=move.ends_at, note="there", actor=yard["sol"], now=move.ends_at)
    assert still_active(rows).count() == 0
