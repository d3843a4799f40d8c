"""A promised time that moves is told to whoever plans by it."""

import datetime as dt

import pytest

from defects.models import Defect
from fleet.enums import NotificationKind
from fleet.models import Notification, Person
from tests.factories.fleet import HOUR, NOON
from tests.support.dock import Dock
from workorders.models import RepairOrder
from workorders.services.orders.expected_time import set_expected_time

FIVE, SIX = NOON + 5 * HOUR, NOON + 6 * HOUR


def promise(dock: Dock, expected_at: dt.datetime) -> None:
    order = RepairOrder.objects.get()
    set_expected_time(
        order=order.pk, version=order.version, expected_at=expected_at, reason="", actor=dock["hob"], now=dock.now
    )


def told() -> list[Person]:
    notifications = Notification.objects.filter(kind=NotificationKind.EXPECTED_TIME_MOVED).select_related("person")
    return sorted((notification.person for notification in notifications), key=lambda person: person.name)


@pytest.fixture
def dock(dock: Dock) -> Dock:
    """The trailer is in the shop; Sol asked for it on a trip ahead, Iris on one that is over, Greta for the tractor."""
    dock.stroke()
    dock.ask(by="sol", departure=dock.now + 4 * HOUR)
    dock.ask(by="iris", at=dock.now - 24 * HOUR, hours=1)
    dock.ask("NL-13", by="greta", departure=dock.now + 4 * HOUR)
    return dock


def test_first_expected_time_and_the_same_again__nobody_is_notified(dock: Dock) -> None:
    promise(dock, FIVE)
    promise(dock, FIVE)
    assert told() == []


def test_moved__dispatch_and_whoever_asked_for_a_trip_that_is_not_over(dock: Dock) -> None:
    promise(dock, FIVE)
    promise(dock, SIX)
    assert told() == [dock["cal"], dock["sol"]]
    facts = {
        (notification.facts["before_at"], notification.facts["expected_at"])
        for notification in Notification.objects.filter(person=told()[1])
    }
    assert facts == {("2026-03-06T23:00:00+00:00", "2026-03-07T00:00:00+00:00")}


def test_moved_and_moved_back__told_each_time(dock: Dock) -> None:
    for expected_at in (FIVE, SIX, FIVE):
        promise(dock, expected_at)
    assert [person.name for person in told()] == ["Cal Wick", "Cal Wick", "Sol Marrin", "Sol Marrin"]


def test_repair_that_did_not_hold__new_order_has_no_expected_time_of_the_old(dock: Dock) -> None:
    promise(dock, FIVE)
    defect = dock.trailer.defects.get()
    dock.repaired_stroke(defect)
    closed = RepairOrder.objects.get(state="closed")

    defect = dock.reopen(Defect.objects.get(pk=defect.pk))

    assert defect.order_id != closed.pk
    fresh = RepairOrder.objects.exclude(pk=closed.pk).get()
    assert (fresh.expected_at, defect.expected_at) == (None, None)
