import datetime as dt
from typing import Any

import pytest
from celery.exceptions import SoftTimeLimitExceeded
from django.db import OperationalError
from pytest_django import DjangoAssertNumQueries

from fleet.enums import DeliveryState
from fleet.models import Delivery, Notification
from fleet.services.notifications import job
from fleet.services.notifications.answer import acknowledge_notification, snooze_notification
from fleet.services.notifications.create import create_notifications
from fleet.services.notifications.job import escalate_notifications, gather_summaries
from tests.factories.fleet import (
    NOON,
    PolicyFactory,
    hold_draft,
    make_carrier,
    make_recipient,
    make_site,
    waiting_draft,
)

pytestmark = pytest.mark.django_db

MORNING = dt.datetime(2026, 3, 7, 12, tzinfo=dt.UTC)
"""06:00 in Chicago on the day after NOON."""
DAY = dt.date(2026, 3, 7)
A_DAY = dt.timedelta(days=1)


def carried(summary_on: dt.date) -> set[Notification]:
    return set(Delivery.objects.get(summary_on=summary_on).notifications.all())


def test_morning_come__one_digest_of_everything_owed_before() -> None:
    make_carrier()
    hob = make_recipient()
    owed = create_notifications([waiting_draft(hob), waiting_draft(hob)], now=NOON)

    assert gather_summaries(now=MORNING) == 1

    digest = Delivery.objects.get()
    assert (digest.person, digest.summary_on, digest.state, digest.next_try_at) == (
        hob,
        DAY,
        DeliveryState.PENDING,
        MORNING,
    )
    assert digest.message_id == f"<digest.{hob.pk}.2026-03-07.mail@localhost>"
    assert set(digest.notifications.all()) == set(owed)


def test_before_the_morning__nothing_leaves() -> None:
    make_carrier()
    create_notifications([waiting_draft(make_recipient())], now=NOON)

    assert gather_summaries(now=MORNING - dt.timedelta(seconds=1)) == 0


def test_swept_again_on_the_same_day__no_second_digest() -> None:
    make_carrier()
    hob = make_recipient()
    create_notifications([waiting_draft(hob)], now=NOON)
    gather_summaries(now=MORNING)
    create_notifications([waiting_draft(hob)], now=MORNING - dt.timedelta(minutes=1))

    assert gather_summaries(now=MORNING + dt.timedelta(hours=1)) == 0
    assert len(carried(DAY)) == 1


def test_owed_after_the_morning__waits_for_the_next_days() -> None:
    make_carrier()
    hob = make_recipient()
    late = create_notifications([waiting_draft(hob)], now=MORNING)

    assert gather_summaries(now=MORNING + dt.timedelta(hours=2)) == 0
    # The clocks change in the night: the next 06:00 is 23 hours later.
    assert gather_summaries(now=MORNING + dt.timedelta(hours=23)) == 1
    assert carried(DAY + A_DAY) == set(late)


def test_carried_yesterday__not_carried_again() -> None:
    make_carrier()
    create_notifications([waiting_draft(make_recipient())], now=NOON)
    gather_summaries(now=MORNING)

    assert gather_summaries(now=MORNING + A_DAY) == 0


def test_more_than_a_digest_carries__the_oldest_today_and_the_rest_tomorrow(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(job, "CARRIED", 2)
    make_carrier()
    hob = make_recipient()
    owed = [
        create_notifications([waiting_draft(hob)], now=NOON + dt.timedelta(minutes=minute))[0] for minute in range(3)
    ]

    assert [gather_summaries(now=MORNING), gather_summaries(now=MORNING + A_DAY)] == [1, 1]
    assert [carried(DAY), carried(DAY + A_DAY)] == [set(owed[:2]), {owed[2]}]


@pytest.mark.parametrize("cut_off_by", [TimeoutError, SoftTimeLimitExceeded, OperationalError])
def test_cut_off_after_some_people__theirs_stand_and_the_next_run_goes_on(
    cut_off_by: type[Exception], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(job, "PEOPLE", 1)
    make_carrier()
    for _ in range(2):
        create_notifications([waiting_draft(make_recipient())], now=NOON)
    carry, carries = job._carry, iter((True, False))

    def cut_off(*given: Any) -> None:
        if not next(carries):
            raise cut_off_by
        carry(*given)

    with monkeypatch.context() as patch:
        patch.setattr(job, "_carry", cut_off)
        with pytest.raises(cut_off_by):
            gather_summaries(now=MORNING)
    assert Delivery.objects.count() == 1
    assert gather_summaries(now=MORNING) == 1
    assert [delivery.notifications.count() for delivery in Delivery.objects.all()] == [1, 1]


def test_jobs_missing_for_three_days__one_digest_of_all_of_it() -> None:
    make_carrier()
    hob = make_recipient()
    owed = [
        notification
        for day in range(3)
        for notification in create_notifications([waiting_draft(hob)], now=NOON + day * A_DAY)
    ]

    assert gather_summaries(now=MORNING + 3 * A_DAY) == 1
    assert carried(DAY + 3 * A_DAY) == set(owed)


def test_quiet_hours__what_can_wait_waits_and_an_urgent_one_leaves() -> None:
    make_carrier()
    hob = make_recipient()
    night = dt.datetime(2026, 3, 8, 3, tzinfo=dt.UTC)  # 21:00 on the 7th
    create_notifications([waiting_draft(hob)], now=NOON)
    create_notifications([hold_draft(hob)], now=night)

    assert gather_summaries(now=night) == 0
    assert Delivery.objects.get(summary_on=None).next_try_at == night


def test_two_zones__each_at_its_own_morning() -> None:
    make_carrier()
    east, west = make_site("East Dock", "America/New_York"), make_site("West Dock", "America/Los_Angeles")
    people = [make_recipient("Eve East", home_site=east), make_recipient("Wes West", home_site=west)]
    create_notifications([waiting_draft(*people)], now=NOON)

    def gathered_at(hour: int) -> list[str]:
        gather_summaries(now=dt.datetime(2026, 3, 7, hour, tzinfo=dt.UTC))
        return sorted(Delivery.objects.values_list("person__name", flat=True))

    assert gathered_at(10) == []
    assert gathered_at(11) == ["Eve East"]
    assert gathered_at(13) == ["Eve East"]
    assert gathered_at(14) == ["Eve East", "Wes West"]


def test_site_with_hours_of_its_own__kept_to() -> None:
    make_carrier()
    dock = make_site("River Dock")
    hob = make_recipient(home_site=dock)
    PolicyFactory.create(
        key=f"notification_hours:{dock.code}",
        value={"morning": "09:00"},
        valid_from=NOON - A_DAY,
        recorded_at=NOON - A_DAY,
    )
    create_notifications([waiting_draft(hob)], now=NOON)

    assert gather_summaries(now=MORNING) == 0
    assert gather_summaries(now=MORNING + dt.timedelta(hours=3)) == 1


def test_policy_that_starts_later__not_yet_in_force() -> None:
    make_carrier()
    hob = make_recipient()
    PolicyFactory.create(key="notification_hours", value={"morning": "09:00"}, valid_from=MORNING + A_DAY)
    create_notifications([waiting_draft(hob)], now=NOON)

    assert gather_summaries(now=MORNING) == 1


def test_malformed_policy__logged_and_the_usual_hours_stand(caplog: pytest.LogCaptureFixture) -> None:
    make_carrier()
    hob = make_recipient()
    PolicyFactory.create(key="notification_hours", value={"morning": "dawn"}, valid_from=NOON)
    create_notifications([waiting_draft(hob)], now=NOON)

    assert gather_summaries(now=MORNING) == 1
    assert "policy notification_hours is malformed" in caplog.text


def test_zone_that_does_not_exist__logged_and_utc_taken(caplog: pytest.LogCaptureFixture) -> None:
    hob = make_recipient(home_site=make_site(time_zone="America/Nowhere"))
    create_notifications([waiting_draft(hob)], now=NOON)

    assert gather_summaries(now=dt.datetime(2026, 3, 7, 6, tzinfo=dt.UTC)) == 1
    assert "America/Nowhere" in caplog.text


def test_acknowledged__not_in_the_digest() -> None:
    make_carrier()
    hob = make_recipient()
    seen, open_one = create_notifications([waiting_draft(hob), waiting_draft(hob)], now=NOON)
    acknowledge_notification(notification=seen.pk, actor=hob, now=NOON)

    gather_summaries(now=MORNING)

    assert carried(DAY) == {open_one}


def test_snoozed__wakes_with_the_digest_of_its_day_even_if_carried_before() -> None:
    make_carrier()
    hob = make_recipient()
    (notification,) = create_notifications([waiting_draft(hob)], now=NOON)
    gather_summaries(now=MORNING)
    snooze_notification(
        notification=notification.pk,
        actor=hob,
        until=DAY + 3 * A_DAY,
        reason="waits for the State's letter",
        now=MORNING,
    )

    assert gather_summaries(now=MORNING + 2 * A_DAY) == 0
    assert gather_summaries(now=MORNING + 3 * A_DAY) == 1
    assert carried(DAY + 3 * A_DAY) == {notification}
    assert gather_summaries(now=MORNING + 4 * A_DAY) == 0


@pytest.mark.parametrize("fields", [{"email": ""}, {"left_on": dt.date(2026, 3, 6)}])
def test_person_whom_no_mail_reaches__notification_kept_and_no_digest(fields: dict[str, Any]) -> None:
    make_carrier()
    create_notifications([waiting_draft(make_recipient(**fields))], now=NOON)

    assert gather_summaries(now=MORNING) == 0
    assert Notification.objects.count() == 1


def test_urgent_notifications__not_in_the_digest() -> None:
    make_carrier()
    create_notifications([hold_draft(make_recipient())], now=NOON)

    assert gather_summaries(now=MORNING) == 0


@pytest.mark.parametrize("people", [2, 12])
def test_however_many_people_have_nothing_waiting__same_few_statements(
    people: int, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    make_carrier()
    for number in range(people):
        make_recipient(f"P{number} Person")

    with django_assert_num_queries(5):
        assert gather_summaries(now=MORNING) == 0


def test_job__tells_how_much_it_owed() -> None:
    make_carrier()
    create_notifications([waiting_draft(make_recipient())], now=NOON)

    swept = escalate_notifications(now=MORNING)

    assert (swept.summaries, swept.escalated, swept.documents_escalated) == (1, 0, 0)
