import datetime as dt

import pytest

from common.errors import Conflict, DomainError, Invalid, NotAllowed, NotFound
from common.ids import uuid7
from fleet.models import Notification
from fleet.services.notifications.answer import acknowledge_notification, snooze_notification
from fleet.services.notifications.create import create_notifications
from tests.factories.fleet import NOON, hold_draft, make_carrier, make_recipient, make_site, waiting_draft

pytestmark = pytest.mark.django_db

LATER = dt.date(2026, 3, 9)


def test_acknowledged__kept_with_its_instant() -> None:
    hob = make_recipient()
    (notification,) = create_notifications([hold_draft(hob)], now=NOON)

    acknowledge_notification(notification=notification.pk, actor=hob, now=NOON + dt.timedelta(minutes=3))

    assert Notification.objects.get().acknowledged_at == NOON + dt.timedelta(minutes=3)


def test_acknowledged_again__first_instant_stands() -> None:
    hob = make_recipient()
    (notification,) = create_notifications([hold_draft(hob)], now=NOON)
    acknowledge_notification(notification=notification.pk, actor=hob, now=NOON)

    again = acknowledge_notification(notification=notification.pk, actor=hob, now=NOON + dt.timedelta(hours=1))

    assert again.acknowledged_at == NOON


@pytest.mark.parametrize("own", [False, None])
def test_notification_of_another_or_none__looks_unknown_and_nothing_changed(own: bool | None) -> None:
    hob, cal = make_recipient(), make_recipient("Cal Wick")
    (notification,) = create_notifications([waiting_draft(hob)], now=NOON)
    key = notification.pk if own is False else uuid7()

    with pytest.raises(NotFound, match="notification_unknown"):
        acknowledge_notification(notification=key, actor=cal, now=NOON)
    with pytest.raises(NotFound, match="notification_unknown"):
        snooze_notification(notification=key, actor=cal, until=LATER, reason="later", now=NOON)

    fresh = Notification.objects.get()
    assert (fresh.acknowledged_at, fresh.snoozed_until) == (None, None)


def test_snoozed__until_that_days_midnight_in_the_persons_zone() -> None:
    make_carrier()
    hob = make_recipient(home_site=make_site(time_zone="America/Denver"))
    (notification,) = create_notifications([waiting_draft(hob)], now=NOON)

    snooze_notification(
        notification=notification.pk, actor=hob, until=LATER, reason="waits for the State's letter", now=NOON
    )

    kept = Notification.objects.get()
    assert kept.snoozed_until == dt.datetime(2026, 3, 9, 6, tzinfo=dt.UTC)
    assert kept.snooze_reason == "waits for the State's letter"


@pytest.mark.parametrize(
    ("until", "reason", "error", "code"),
    [
        (LATER, "  ", Invalid, "snooze_reason_missing"),
        (dt.date(2026, 3, 6), "later", Invalid, "snooze_not_later"),
        (dt.date(2026, 4, 6), "later", Invalid, "snooze_too_long"),
    ],
)
def test_snooze_without_reason_or_out_of_its_days__refused_and_nothing_changed(
    until: dt.date, reason: str, error: type[DomainError], code: str
) -> None:
    make_carrier()
    hob = make_recipient()
    (notification,) = create_notifications([waiting_draft(hob)], now=NOON)

    with pytest.raises(error, match=code):
        snooze_notification(notification=notification.pk, actor=hob, until=until, reason=reason, now=NOON)

    assert Notification.objects.get().snoozed_until is None


def test_snooze_for_thirty_days__accepted() -> None:
    make_carrier()
    hob = make_recipient()
    (notification,) = create_notifications([waiting_draft(hob)], now=NOON)

    snooze_notification(notification=notification.pk, actor=hob, until=dt.date(2026, 4, 5), reason="later", now=NOON)

    assert Notification.objects.get().snoozed_until == dt.datetime(2026, 4, 5, 5, tzinfo=dt.UTC)


def test_snooze_of_a_hold__refused_and_nothing_changed() -> None:
    hob = make_recipient()
    (notification,) = create_notifications([hold_draft(hob)], now=NOON)

    with pytest.raises(NotAllowed, match="notification_never_snoozed"):
        snooze_notification(notification=notification.pk, actor=hob, until=LATER, reason="later", now=NOON)

    assert Notification.objects.get().snoozed_until is None


@pytest.mark.parametrize("kind", ["hold_placed", "order_by_officer", "load_at_risk"])
def test_kind_that_is_never_snoozed__refused_even_when_it_could_wait(kind: str) -> None:
    hob = make_recipient()
    (notification,) = create_notifications([waiting_draft(hob)], now=NOON)
    Notification.objects.update(kind=kind)

    with pytest.raises(NotAllowed, match="notification_never_snoozed"):
        snooze_notification(notification=notification.pk, actor=hob, until=LATER, reason="later", now=NOON)


def test_snooze_of_an_acknowledged_one__refused() -> None:
    hob = make_recipient()
    (notification,) = create_notifications([waiting_draft(hob)], now=NOON)
    acknowledge_notification(notification=notification.pk, actor=hob, now=NOON)

    with pytest.raises(Conflict, match="notification_acknowledged"):
        snooze_notification(notification=notification.pk, actor=hob, until=LATER, reason="later", now=NOON)
