"""Word that an answer is barred is not brought once it is not, or once nobody plans by that answer any more."""

import datetime as dt

from defects.services.clearance.changes import notify_of_changes
from defects.services.loads.loading import deliver_load
from fleet.enums import Channel, DeliveryState, NotificationKind
from fleet.models import Delivery, Document, Notification, Person
from fleet.services.notifications.channels import Senders
from fleet.services.notifications.deliveries import deliver_pending
from fleet.services.notifications.endings import still_active
from tests.factories.fleet import HOUR, NOON
from tests.integration.defects.clearance.test_clearance_changes import DAY, hold, lift, run_job, run_out
from tests.support.dock import Dock
from tests.support.outbox import Outbox


def standing() -> list[str]:
    notifications = still_active(Notification.objects.filter(kind=NotificationKind.CLEARANCE_BARRED))
    return list(notifications.order_by("created_at", "step").values_list("step", flat=True))


def kinds() -> list[str]:
    return [step.partition(" ")[0] for step in standing()]


def renew() -> None:
    Document.objects.filter(ends_on=NOON.date() - DAY).update(ends_on=NOON.date() + 300 * DAY)


def test_turned_back_before_the_letter_leaves__it_is_dropped(dock: Dock) -> None:
    Person.objects.filter(username="cal").update(email="cal@carrier.invalid")
    dock.ask(by="cal", departure=dock.now + 3 * HOUR)
    hold(dock)
    run_job(dock)
    flipped = Delivery.objects.filter(notifications__kind=NotificationKind.CLEARANCE_BARRED)
    assert [delivery.state for delivery in flipped] == [DeliveryState.PENDING]
    lift(dock)
    run_job(dock)
    outbox = Outbox()

    deliver_pending(clock=lambda: dock.now, senders=Senders({Channel.MAIL: outbox}))

    assert [delivery.state for delivery in flipped.all()] == [DeliveryState.DROPPED]
    assert not [letter for letter in outbox.sent if "barred" in letter.subject.lower()]


def test_barred_again__only_the_later_turn_holds(dock: Dock) -> None:
    dock.ask(by="cal", departure=dock.now + 3 * HOUR)
    for change in (hold, lift, hold):
        change(dock)
        run_job(dock)
    assert standing() == ["flip 2"]


def test_what_came_on_top_is_gone__that_is_told_no_more_and_the_turn_still_is(dock: Dock) -> None:
    dock.ask(by="cal", departure=dock.now + 3 * HOUR)
    for change in (hold, run_out):
        change(dock)
        run_job(dock)
    assert kinds() == ["flip", "bar"]
    renew()
    run_job(dock)
    assert kinds() == ["flip"]


def test_two_things_came_on_top_and_one_is_gone__still_told(dock: Dock) -> None:
    dock.ask(by="cal", departure=dock.now + 3 * HOUR)
    hold(dock)
    run_job(dock)
    run_out(dock)
    Document.objects.filter(unit=dock.tractor, kind="registration").update(ends_on=NOON.date() - DAY)
    run_job(dock)
    for unit, left in ((dock.trailer, ["flip", "bar"]), (dock.tractor, ["flip"])):
        Document.objects.filter(unit=unit, kind="registration").update(ends_on=NOON.date() + 300 * DAY)
        run_job(dock)
        assert kinds() == left


def test_asked_anew__told_of_the_old_answer_no_more(dock: Dock) -> None:
    dock.ask(by="cal", departure=dock.now + 3 * HOUR)
    for change in (hold, run_out):
        change(dock)
        run_job(dock)
    dock.later()
    dock.ask(by="cal", departure=dock.now + 3 * HOUR)
    run_job(dock)
    assert kinds() == []


def test_trip_is_over__no_more(dock: Dock) -> None:
    asked = dock.ask(by="cal", hours=10)
    hold(dock)
    run_job(dock)
    assert kinds() == ["flip"]
    notify_of_changes(now=asked.arrival + dt.timedelta(minutes=1))
    assert kinds() == []


def test_load_is_delivered__no_more(dock: Dock) -> None:
    aboard = dock.load("L-1", "dry")
    dock.put(aboard)
    dock.ask(by="cal", load="L-1")
    hold(dock)
    run_job(dock)
    assert kinds() == ["flip"]
    deliver_load(load_id=aboard.pk, delivered_at=dock.later(), actor=dock["cal"], now=dock.now)
    run_job(dock)
    assert kinds() == []
