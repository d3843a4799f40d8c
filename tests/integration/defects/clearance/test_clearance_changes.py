"""An answer that turned to barred since dispatch had it is told to whoever asked and to dispatch, once a turn."""

import datetime as dt
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from common.messages import UnknownCodeError
from defects.models import Clearance, ClearanceChange
from defects.selectors.clearance import trips
from defects.selectors.clearance.planned_trips import rest_of_trip
from defects.services.clearance import changes as flips
from defects.services.clearance.changes import notify_of_changes
from defects.services.holds.by_person import place_hold
from defects.services.loads.loading import deliver_load
from defects.services.loads.loads import cancel_load
from fleet.enums import NotificationKind, UnitKind
from fleet.models import Document, Notification, SkippedRecord
from fleet.services.notifications.composing import sentence_of
from fleet.services.notifications.skipped_records import skipped_record
from tests.factories.fleet import HOUR, NOON, make_unit
from tests.support.at_once import at_once
from tests.support.committing import CommittingDatabase
from tests.support.dock import Dock, make_dock, papers

CHICAGO = ZoneInfo("America/Chicago")
DAY = dt.timedelta(days=1)


def hold(dock: Dock) -> None:
    reason, hob = "smoke under the cab", dock["hob"]
    place_hold(unit_id=dock.tractor.pk, defect_id=None, reason=reason, actor=hob, now=dock.later())


def lift(dock: Dock) -> None:
    """Ida lifts what Hob has placed."""
    dock.lift(dock.tractor.holds.get(lifted_at=None), by="ida", reason="a cigarette")


def run_job(dock: Dock) -> int:
    return notify_of_changes(now=dock.later())


def told() -> list[str]:
    notifications = Notification.objects.filter(kind=NotificationKind.CLEARANCE_BARRED).select_related("person")
    return sorted(notification.person.name for notification in notifications)


def test_turned_to_barred__whoever_asked_and_dispatch_read_why(dock: Dock) -> None:
    asked = dock.ask(by="sol", departure=dock.now + 3 * HOUR)
    assert run_job(dock) == 0

    hold(dock)

    assert run_job(dock) == 1
    assert told() == ["Cal Wick", "Sol Marrin"]
    notification = Notification.objects.filter(kind=NotificationKind.CLEARANCE_BARRED).first()
    assert notification is not None
    assert (notification.subject_id, notification.urgent) == (asked.pk, True)
    leaves = "Fri 6 Mar 4:01 PM"
    assert sentence_of(notification, language="en", zone=CHICAGO).startswith(
        f"NL-13, LR-46, CU-46, leaving {leaves}: now barred. Request clearance again. NL-13: hold "
    )
    assert "smoke under the cab" in sentence_of(notification, language="es", zone=CHICAGO)


def run_out(dock: Dock) -> None:
    Document.objects.filter(unit=dock.trailer, kind="registration").update(ends_on=NOON.date() - DAY)


def test_still_barred__nothing_told_again_but_a_further_reason_once_and_by_itself(dock: Dock) -> None:
    dock.ask(by="cal", driver="sol", departure=dock.now + 3 * HOUR)
    hold(dock)
    assert [run_job(dock), run_job(dock)] == [1, 0]
    run_out(dock)
    assert [run_job(dock), run_job(dock)] == [1, 0]
    further = Notification.objects.filter(code="answer_barred_further").select_related("person")
    assert sorted(notification.person.name for notification in further) == ["Cal Wick", "Sol Marrin"]
    said = sentence_of(further[0], language="en", zone=CHICAGO)
    assert said.startswith("NL-13, LR-46, CU-46, leaving Fri 6 Mar 4:01 PM: still barred.")
    assert "registration" in said
    assert "smoke" not in said


def test_barred_when_it_was_asked__what_comes_on_top_is_told_and_what_it_said_is_not(dock: Dock) -> None:
    hold(dock)
    asked = dock.ask(by="sol", departure=dock.now + 3 * HOUR)
    assert [asked.answer, run_job(dock)] == ["barred", 0]
    run_out(dock)
    assert [run_job(dock), run_job(dock)] == [1, 0]
    assert told() == ["Cal Wick", "Sol Marrin"]
    assert not ClearanceChange.objects.exists()


def test_barred_when_it_was_asked__lifted_and_held_anew_is_told(dock: Dock) -> None:
    hold(dock)
    dock.ask(departure=dock.now + 3 * HOUR)
    counts = []
    for change in (lift, hold):
        change(dock)
        counts.append(run_job(dock))
    assert counts == [0, 1]


def test_back_and_barred_again__notified_once_each_time_and_never_of_the_way_back(dock: Dock) -> None:
    dock.ask(by="cal", departure=dock.now + 3 * HOUR)
    counts = []
    for change in (hold, lift, hold, lift):
        change(dock)
        counts.append(run_job(dock))
    assert counts == [1, 0, 1, 0]
    assert told() == ["Cal Wick"] * 2
    assert [(flip.number, flip.back_at is None) for flip in ClearanceChange.objects.order_by("number")] == [
        (1, False),
        (2, False),
    ]


def test_barred_when_it_was_asked__no_turn(dock: Dock) -> None:
    hold(dock)
    dock.ask(departure=dock.now + 3 * HOUR)
    assert run_job(dock) == 0


def test_asked_anew__only_the_newest_answer_counts(dock: Dock) -> None:
    dock.ask(departure=dock.now + 3 * HOUR)
    hold(dock)
    dock.later()
    assert dock.ask(departure=dock.now + 3 * HOUR).answer == "barred"
    assert run_job(dock) == 0


@pytest.mark.parametrize(("after", "turned"), [(9, 1), (10, 0)])
def test_under_way__told_until_it_arrives_and_not_after(dock: Dock, after: int, turned: int) -> None:
    dock.ask(hours=10)
    dock.later(after * HOUR)
    hold(dock)
    assert run_job(dock) == turned


def test_under_way__the_rest_of_the_trip_is_judged_and_not_the_whole_of_it_anew(dock: Dock) -> None:
    """A document that lasts for the trip lasts for its rest, however late the rest is looked at."""
    Document.objects.filter(unit=dock.trailer, kind="registration").update(ends_on=dt.date(2026, 3, 8))
    asked = dock.ask(hours=28, miles=900)
    assert asked.answer != "barred"
    dock.later(20 * HOUR)
    assert run_job(dock) == 0


def test_leaves_in_two_days__can_wait_for_the_digest(dock: Dock) -> None:
    dock.ask(departure=dock.now + 2 * DAY)
    hold(dock)
    assert run_job(dock) == 1
    assert [
        notification.urgent for notification in Notification.objects.filter(kind=NotificationKind.CLEARANCE_BARRED)
    ] == [False]


def test_load_delivered_or_called_off__its_trip_is_planned_no_more(dock: Dock) -> None:
    aboard, planned = dock.load("L-1", "dry"), dock.load("L-2", "dry")
    dock.put(aboard)
    dock.ask(load="L-1")
    dock.ask("NL-13", load="L-2", departure=dock.now + 3 * HOUR)
    deliver_load(load_id=aboard.pk, delivered_at=dock.later(), actor=dock["cal"], now=dock.now)
    cancel_load(load_id=planned.pk, version=1, reason="not ready", actor=dock["cal"], now=dock.later())
    hold(dock)
    assert run_job(dock) == 0


def test_many_trips__are_judged_separately_in_as_many_statements_as_one(dock: Dock) -> None:
    dock.ask(driver="sol", departure=dock.now + 3 * HOUR)
    few = statements(dock)
    for number in range(20):
        tractor = make_unit(UnitKind.TRACTOR, f"T-{number:02}")
        papers(tractor)
        dock.hand_in((tractor, []), by="iris")
        asked = dock.ask(str(tractor), driver="iris", departure=dock.now + 3 * HOUR)
        assert asked.answer != "barred"
    assert statements(dock) == few
    assert told() == []
    hold(dock)
    assert run_job(dock) == 1
    assert ClearanceChange.objects.get().clearance == Clearance.objects.order_by("requested_at").first()


def statements(dock: Dock) -> int:
    with CaptureQueriesContext(connection) as captured:
        assert run_job(dock) == 0
    return len(captured)


def test_more_trips_than_one_batch__all_are_judged(dock: Dock, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(flips, "BATCH", 1)
    dock.ask(departure=dock.now + 3 * HOUR, miles=100)
    dock.ask("NL-13", departure=dock.now + 3 * HOUR)
    hold(dock)
    assert run_job(dock) == 2


def test_rest_of_a_trip__miles_in_proportion(dock: Dock) -> None:
    asked = dock.ask(hours=10, miles=500)
    assert rest_of_trip(asked, now=dock.now + 4 * HOUR).miles == Decimal(300)
    assert rest_of_trip(asked, now=dock.now - HOUR).miles == Decimal(500)


def test_eight_jobs_at_once__notified_once(committing_db: CommittingDatabase) -> None:
    dock = make_dock()
    dock.ask(departure=dock.now + 3 * HOUR)
    hold(dock)
    now = dock.later()
    assert sum(at_once(8, lambda: notify_of_changes(now=now))) == 1
    assert told() == ["Cal Wick"]


def test_answer_that_cannot_be_judged__the_others_are_told_and_an_administrator_once(
    dock: Dock, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    asked = dock.ask(by="sol", departure=dock.now + 3 * HOUR)
    other = make_unit(number="NL-77", kind=UnitKind.TRACTOR)
    broken = dock.ask("NL-77", by="sol", departure=dock.now + 3 * HOUR)
    assert run_job(dock) == 0
    judge = trips.facts_of_trips

    def fail_for_one(asked_for: Any, **more: Any) -> Any:
        if any(other in trip.units for trip in asked_for):
            raise UnknownCodeError("why_too_cold")
        return judge(asked_for, **more)

    monkeypatch.setattr(flips, "facts_of_trips", fail_for_one)
    hold(dock)
    for _ in range(2):
        run_job(dock)

    assert [change.clearance_id for change in ClearanceChange.objects.filter(back_at=None)] == [asked.pk]
    (row,) = SkippedRecord.objects.all()
    assert (row.job, row.subject, row.why) == ("notify_of_changes", broken.pk, "UnknownCodeError: why_too_cold")
    (notification,) = Notification.objects.filter(kind=NotificationKind.RECORD_SKIPPED)
    assert notification.person == dock["ann"]
    assert "why_too_cold" in sentence_of(notification, language="en", zone=CHICAGO)
    assert [record for record in caplog.records if record.exc_info and "passes over" in record.message]
    assert skipped_record(["notify_of_changes", "purge_records"]) == {"notify_of_changes": 1, "purge_records": 0}

    monkeypatch.setattr(flips, "facts_of_trips", judge)
    run_job(dock)
    assert not SkippedRecord.objects.exists()
