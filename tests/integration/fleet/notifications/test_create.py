import datetime as dt
from decimal import Decimal
from typing import Any

import pytest
from django.db.transaction import TransactionManagementError
from pytest_django import DjangoAssertNumQueries

from common.ids import uuid7
from common.messages import Message
from fleet.enums import Channel, DeliveryState, NotificationKind
from fleet.models import Delivery, Notification
from fleet.services.notifications.create import create_notifications, message_id
from tests.factories.fleet import NOON, hold_draft, make_bare_unit, make_recipient, waiting_draft
from tests.support.committing import CommittingDatabase


@pytest.mark.django_db
def test_urgent_draft__a_notification_and_a_delivery_for_each_person() -> None:
    hob, cal = make_recipient(), make_recipient("Cal Wick")
    unit = make_bare_unit()
    hold = uuid7()

    owed = create_notifications([hold_draft(hob, cal, subject=hold, unit=unit)], now=NOON)

    assert {notification.person.name for notification in owed} == {"Hob Anselm", "Cal Wick"}
    notification = Notification.objects.get(person=hob)
    assert notification.dedupe_key == f"hold_placed:{hold}::{hob.pk}"
    assert (
        notification.kind,
        notification.code,
        notification.unit,
        notification.subject_id,
        notification.urgent,
        notification.created_at,
    ) == (NotificationKind.HOLD_PLACED, "hold_placed", unit, hold, True, NOON)
    assert notification.facts == {
        "unit": "LR-46",
        "hold": 12,
        "what": "Pushrod stroke, axle 2 right: 2.31 in, limit 2 in",
        "reported_by": "Iris Quade",
        "at": "2026-03-06T18:00:00+00:00",
    }
    delivery = Delivery.objects.get(person=hob)
    assert (delivery.channel, delivery.state, delivery.attempts, delivery.next_try_at, delivery.summary_on) == (
        Channel.MAIL,
        DeliveryState.PENDING,
        0,
        NOON,
        None,
    )
    assert list(delivery.notifications.all()) == [notification]
    assert delivery.message_id == f"<notification.{notification.pk}.mail@localhost>"


@pytest.mark.django_db
def test_owed_again__nothing_newly_owed_and_the_first_kept() -> None:
    hob = make_recipient()
    hold = uuid7()
    create_notifications([hold_draft(hob, subject=hold)], now=NOON)

    again = create_notifications([hold_draft(hob, subject=hold, hold=99)], now=NOON + dt.timedelta(minutes=5))

    assert again == []
    assert Notification.objects.get().facts["hold"] == 12
    assert Delivery.objects.count() == 1


@pytest.mark.django_db
def test_owed_again_with_one_new_person__only_that_one() -> None:
    hob, cal = make_recipient(), make_recipient("Cal Wick")
    hold = uuid7()
    create_notifications([hold_draft(hob, subject=hold)], now=NOON)

    again = create_notifications([hold_draft(hob, cal, subject=hold)], now=NOON)

    assert [notification.person.name for notification in again] == ["Cal Wick"]
    assert Delivery.objects.filter(person=cal).count() == 1
    assert Delivery.objects.filter(person=hob).count() == 1


@pytest.mark.django_db
def test_two_urgent_drafts_to_one_person__one_message_carries_both() -> None:
    hob = make_recipient()

    create_notifications([hold_draft(hob, hold=12), hold_draft(hob, hold=13)], now=NOON)

    assert sorted(notification.facts["hold"] for notification in Delivery.objects.get().notifications.all()) == [12, 13]


@pytest.mark.django_db
def test_person_without_address__notification_and_no_delivery() -> None:
    create_notifications([hold_draft(make_recipient(email=""))], now=NOON)

    assert Notification.objects.count() == 1
    assert Delivery.objects.count() == 0


@pytest.mark.django_db
def test_draft_that_can_wait__notification_and_no_delivery_yet() -> None:
    create_notifications([waiting_draft(make_recipient())], now=NOON)

    assert Notification.objects.get().urgent is False
    assert Delivery.objects.count() == 0


@pytest.mark.django_db
def test_same_subject_at_another_step__owed_again() -> None:
    hob = make_recipient()
    document = uuid7()
    create_notifications([waiting_draft(hob, subject=document, step="60")], now=NOON)

    create_notifications([waiting_draft(hob, subject=document, step="30")], now=NOON)

    assert Notification.objects.count() == 2


@pytest.mark.django_db
def test_person_named_twice_in_a_draft__one_notification() -> None:
    hob = make_recipient()

    assert len(create_notifications([hold_draft(hob, hob)], now=NOON)) == 1


@pytest.mark.django_db
@pytest.mark.parametrize("people", [1, 40])
def test_however_many_people__four_statements(people: int, django_assert_num_queries: DjangoAssertNumQueries) -> None:
    told = [make_recipient(f"P{number} Person") for number in range(people)]

    with django_assert_num_queries(4):
        create_notifications([hold_draft(*told), hold_draft(*told), waiting_draft(*told)], now=NOON)

    assert Notification.objects.count() == 3 * people
    assert Delivery.objects.count() == people


@pytest.mark.django_db
def test_no_people__no_statement(django_assert_num_queries: DjangoAssertNumQueries) -> None:
    with django_assert_num_queries(0):
        assert create_notifications([hold_draft()], now=NOON) == []


@pytest.mark.django_db
def test_facts_of_every_sort__kept_as_json() -> None:
    facts: dict[str, Any] = {
        "what": Message("hold_placed", {"hold": 3, "at": NOON}),
        "limit_in": Decimal("2.00"),
        "ends_on": dt.date(2026, 3, 27),
        "places": ["axle 1", "axle 2"],
    }

    create_notifications([hold_draft(make_recipient(), **facts)], now=NOON)

    kept = Notification.objects.get().facts
    assert kept["what"] == {"code": "hold_placed", "facts": {"hold": 3, "at": "2026-03-06T18:00:00+00:00"}}
    assert (kept["limit_in"], kept["ends_on"], kept["places"]) == ("2.00", "2026-03-27", ["axle 1", "axle 2"])


@pytest.mark.django_db
def test_instant_under_a_name_that_does_not_say_so__refused() -> None:
    with pytest.raises(ValueError, match="not 'until'"):
        create_notifications([hold_draft(make_recipient(), until=NOON)], now=NOON)


def test_outside_a_transaction__refused_and_nothing_owed(committing_db: CommittingDatabase) -> None:
    hob = make_recipient()

    with pytest.raises(TransactionManagementError):
        create_notifications([hold_draft(hob)], now=NOON)

    assert Notification.objects.count() == 0


def test_message_id__has_the_senders_domain(settings: pytest.FixtureRequest) -> None:
    settings.DEFAULT_FROM_EMAIL = "Notices <notices@carrier.invalid>"  # type: ignore[attr-defined]  # pytest-django's

    assert message_id("notification.1", Channel.MAIL) == "<notification.1.mail@carrier.invalid>"
