import datetime as dt
from dataclasses import replace
from typing import Any
from uuid import UUID

import pytest

from common.ids import uuid7
from fleet.enums import NotificationKind, Role
from fleet.models import Delivery, Notification, SkippedRecord
from fleet.services.notifications import escalate
from fleet.services.notifications.answer import acknowledge_notification
from fleet.services.notifications.create import NotificationDraft, create_notifications
from fleet.services.notifications.escalate import escalate_unanswered
from fleet.services.notifications.job import escalate_notifications
from fleet.services.notifications.skipped_records import skipped_record
from tests.factories.fleet import (
    NOON,
    PolicyFactory,
    give_role,
    hold_draft,
    make_bare_unit,
    make_recipient,
    make_site,
    waiting_draft,
)

pytestmark = pytest.mark.django_db

MINUTE = dt.timedelta(minutes=1)


def told(subject: UUID) -> set[str]:
    return set(Notification.objects.filter(subject_id=subject).values_list("person__name", flat=True))


def test_nobody_answers_for_a_quarter_of_an_hour__next_role_notified_at_once() -> None:
    hob, vera = make_recipient(roles=(Role.FOREMAN,)), make_recipient("Vera Holt", roles=(Role.COMPLIANCE,))
    unit, hold = make_bare_unit(), uuid7()
    create_notifications([hold_draft(hob, subject=hold, unit=unit)], now=NOON)

    assert escalate_unanswered(now=NOON + 14 * MINUTE) == 0
    assert escalate_unanswered(now=NOON + 15 * MINUTE) == 1

    notification = Notification.objects.get(person=vera)
    assert (notification.kind, notification.code, notification.urgent, notification.unit, notification.subject_id) == (
        "hold_placed",
        "unanswered",
        True,
        unit,
        hold,
    )
    assert notification.facts["minutes"] == 15
    assert notification.facts["what"]["code"] == "hold_placed"
    assert notification.facts["what"]["facts"]["hold"] == 12
    assert Delivery.objects.get(person=vera).next_try_at == NOON + 15 * MINUTE
    assert Notification.objects.get(person=hob).escalated_at == NOON + 15 * MINUTE


def test_escalated__not_a_second_time_and_no_further() -> None:
    hob = make_recipient(roles=(Role.FOREMAN,))
    make_recipient("Vera Holt", roles=(Role.COMPLIANCE,))
    make_recipient("Ada Min", roles=(Role.ADMINISTRATOR,))
    hold = uuid7()
    create_notifications([hold_draft(hob, subject=hold)], now=NOON)
    escalate_unanswered(now=NOON + 15 * MINUTE)

    assert escalate_unanswered(now=NOON + 60 * MINUTE) == 0
    assert told(hold) == {"Hob Anselm", "Vera Holt"}


def test_one_of_those_told_answers__nobody_else_is_told() -> None:
    hob, cal = make_recipient(roles=(Role.FOREMAN,)), make_recipient("Cal Wick", roles=(Role.DISPATCH,))
    make_recipient("Vera Holt", roles=(Role.COMPLIANCE,))
    hold = uuid7()
    owed = create_notifications([hold_draft(hob, cal, subject=hold)], now=NOON)
    acknowledge_notification(notification=next(n.pk for n in owed if n.person == cal), actor=cal, now=NOON + MINUTE)

    assert escalate_unanswered(now=NOON + 60 * MINUTE) == 0
    assert told(hold) == {"Hob Anselm", "Cal Wick"}


def test_another_hold_answered__this_one_still_escalates() -> None:
    hob = make_recipient(roles=(Role.FOREMAN,))
    make_recipient("Vera Holt", roles=(Role.COMPLIANCE,))
    first, second = uuid7(), uuid7()
    owed = create_notifications([hold_draft(hob, subject=first), hold_draft(hob, subject=second)], now=NOON)
    acknowledge_notification(notification=next(n.pk for n in owed if n.subject_id == first), actor=hob, now=NOON)

    escalate_unanswered(now=NOON + 15 * MINUTE)

    assert told(first) == {"Hob Anselm"}
    assert told(second) == {"Hob Anselm", "Vera Holt"}


def test_failed_escalation__is_recorded_once_and_stops_no_other(monkeypatch: pytest.MonkeyPatch) -> None:
    hob = make_recipient(roles=(Role.FOREMAN,))
    make_recipient("Vera Holt", roles=(Role.COMPLIANCE,))
    broken, whole = uuid7(), uuid7()
    owed = create_notifications([hold_draft(hob, subject=broken), hold_draft(hob, subject=whole)], now=NOON)
    draft = escalate._draft

    def fail_for_one(notification: Notification, *given: Any) -> NotificationDraft:
        if notification.subject_id == broken:
            raise KeyError("what")
        return draft(notification, *given)

    monkeypatch.setattr(escalate, "_draft", fail_for_one)
    for minutes in (15, 16):
        escalate_notifications(now=NOON + minutes * MINUTE)

    assert told(whole) == {"Hob Anselm", "Vera Holt"}
    assert told(broken) == {"Hob Anselm"}
    (row,) = SkippedRecord.objects.all()
    assert (row.job, row.subject) == ("escalate_notifications: unanswered", owed[0].pk)
    assert skipped_record(["escalate_notifications"]) == {"escalate_notifications": 1}


def test_first_fault_of_a_load_answered__one_that_joined_it_still_escalates_once() -> None:
    cal = make_recipient("Cal Wick", roles=(Role.DISPATCH,))
    make_recipient("Hob Anselm", roles=(Role.FOREMAN,))
    drafts = [
        replace(hold_draft(cal), kind=NotificationKind.LOAD_AT_RISK, subject=uuid7(), step=str(uuid7()))
        for _ in range(2)
    ]
    first, joined = drafts[0], replace(drafts[1], subject=drafts[0].subject)
    owed = create_notifications([first], now=NOON)
    acknowledge_notification(notification=owed[0].pk, actor=cal, now=NOON + MINUTE)
    create_notifications([joined], now=NOON + 2 * MINUTE)

    assert [escalate_unanswered(now=NOON + minutes * MINUTE) for minutes in (17, 60)] == [1, 0]
    assert told(first.subject) == {"Cal Wick", "Hob Anselm"}


def test_next_role_has_only_people_told_already__the_role_after_it() -> None:
    both = make_recipient("Vera Holt", roles=(Role.FOREMAN, Role.COMPLIANCE))
    make_recipient("Ada Min", roles=(Role.ADMINISTRATOR,))
    hold = uuid7()
    create_notifications([hold_draft(both, subject=hold)], now=NOON)

    escalate_unanswered(now=NOON + 15 * MINUTE)

    assert told(hold) == {"Vera Holt", "Ada Min"}


def test_next_role_at_another_site_and_here__the_one_here() -> None:
    yard, dock = make_site(), make_site("River Dock")
    hob = make_recipient()
    give_role(make_recipient("Vera Holt"), Role.COMPLIANCE, yard)
    give_role(make_recipient("Una Dock"), Role.COMPLIANCE, dock)
    hold = uuid7()
    create_notifications([hold_draft(hob, subject=hold, unit=make_bare_unit(home_site=yard))], now=NOON)

    escalate_unanswered(now=NOON + 15 * MINUTE)

    assert told(hold) == {"Hob Anselm", "Vera Holt"}


def test_nobody_left_to_tell__said_in_the_log_once(caplog: pytest.LogCaptureFixture) -> None:
    create_notifications([hold_draft(make_recipient())], now=NOON)

    assert escalate_unanswered(now=NOON + 15 * MINUTE) == 0
    assert escalate_unanswered(now=NOON + 16 * MINUTE) == 0

    assert caplog.text.count("nobody is left to tell") == 1


def test_what_can_wait__never_escalates() -> None:
    make_recipient("Vera Holt", roles=(Role.COMPLIANCE,))
    create_notifications([waiting_draft(make_recipient())], now=NOON)

    assert escalate_unanswered(now=NOON + 600 * MINUTE) == 0


def test_carrier_gives_them_longer__kept_to() -> None:
    hob = make_recipient(roles=(Role.FOREMAN,))
    make_recipient("Vera Holt", roles=(Role.COMPLIANCE,))
    PolicyFactory.create(key="notification_escalation_min", value=45, valid_from=NOON)
    create_notifications([hold_draft(hob)], now=NOON)

    assert escalate_unanswered(now=NOON + 44 * MINUTE) == 0
    assert escalate_unanswered(now=NOON + 45 * MINUTE) == 1


def test_unanswered_for_more_than_a_week__left_alone() -> None:
    make_recipient("Vera Holt", roles=(Role.COMPLIANCE,))
    create_notifications([hold_draft(make_recipient())], now=NOON)

    assert escalate_unanswered(now=NOON + dt.timedelta(days=7) + 15 * MINUTE) == 0


def test_more_events_than_one_batch__all_of_them(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("fleet.services.notifications.escalate.BATCH", 2)
    hob = make_recipient()
    make_recipient("Vera Holt", roles=(Role.COMPLIANCE,))
    create_notifications([hold_draft(hob) for _ in range(5)], now=NOON)

    assert escalate_unanswered(now=NOON + 15 * MINUTE) == 5
