import datetime as dt
from collections.abc import Callable
from smtplib import SMTPServerDisconnected

import pytest
from django.core import mail
from pytest_django import Settings

from fleet.enums import Channel, DeliveryState, NotificationKind, Role
from fleet.models import Delivery, Document
from fleet.services.notifications.channels import MailNotSentError, MailSender, Senders
from fleet.services.notifications.composing import Mail
from fleet.services.notifications.create import NotificationDraft, create_notifications
from fleet.services.notifications.deliveries import RUN_FOR, Delivered, deliver_pending, retry_deliveries
from fleet.services.notifications.hours import habits_in_force
from fleet.services.notifications.job import gather_summaries
from fleet.services.notifications.leases import LEASE, lease_next
from tests.factories.fleet import (
    HOLD_FACTS,
    NOON,
    DocumentFactory,
    hold_draft,
    make_carrier,
    make_person,
    make_recipient,
    make_webhook,
    waiting_draft,
)
from tests.support.outbox import Outbox

pytestmark = pytest.mark.django_db

MINUTE = dt.timedelta(minutes=1)
HOUR = 60 * MINUTE
MORNING = dt.datetime(2026, 3, 7, 12, tzinfo=dt.UTC)
NIGHT = dt.datetime(2026, 3, 8, 3, tzinfo=dt.UTC)
"""21:00 on the 7th in Chicago."""


def standing(instant: dt.datetime) -> Callable[[], dt.datetime]:
    return lambda: instant


def deliver(outbox: Outbox, now: dt.datetime = NOON) -> Delivered:
    return deliver_pending(clock=standing(now), senders=Senders({Channel.MAIL: outbox}))


def failing(why: Exception) -> Outbox:
    return Outbox(fails=lambda _: why)


def test_owed__sent_as_mail_in_two_forms_under_its_own_id() -> None:
    make_carrier()
    create_notifications([hold_draft(make_recipient())], now=NOON)

    done = deliver_pending(clock=standing(NOON))

    assert done == Delivered(sent=1)
    (message,) = mail.outbox
    assert isinstance(message, mail.EmailMultiAlternatives)
    delivery = Delivery.objects.get()
    assert (message.to, message.subject) == (["hob@carrier.invalid"], "Hold 12 on unit LR-46")
    headers = message.message()
    assert headers["Message-ID"] == delivery.message_id
    assert headers["Auto-Submitted"] == "auto-generated"
    assert headers["Content-Language"] == "en"
    assert [part.get_content_type() for part in headers.get_payload()] == ["text/plain", "text/html"]  # type: ignore[union-attr]
    assert "Fri 6 Mar 12:00 PM" in message.body
    assert (delivery.state, delivery.sent_at, delivery.attempts, delivery.claimed_until) == (
        DeliveryState.SENT,
        NOON,
        1,
        None,
    )


def test_sent__not_sent_again() -> None:
    create_notifications([hold_draft(make_recipient())], now=NOON)
    outbox = Outbox()
    deliver(outbox)

    assert deliver(outbox, NOON + dt.timedelta(days=1)) == Delivered()
    assert len(outbox.sent) == 1


def test_failed__tried_again_after_the_back_off_and_parked_after_the_fifth() -> None:
    create_notifications([hold_draft(make_recipient())], now=NOON)
    broken = failing(SMTPServerDisconnected("gone"))
    waits = []
    now = NOON
    for _ in range(4):
        assert deliver(broken, now) == Delivered(failed=1)
        delivery = Delivery.objects.get()
        waits.append(delivery.next_try_at - now)
        assert deliver(broken, delivery.next_try_at - dt.timedelta(seconds=1)) == Delivered()
        now = delivery.next_try_at

    assert deliver(broken, now) == Delivered(parked=1)

    assert waits == [1 * MINUTE, 5 * MINUTE, 30 * MINUTE, 120 * MINUTE]
    delivery = Delivery.objects.get()
    assert (delivery.state, delivery.attempts, delivery.last_error) == (
        DeliveryState.PARKED,
        5,
        "SMTPServerDisconnected: gone",
    )
    assert delivery.next_try_at == now + dt.timedelta(hours=1)


def test_parked__tried_every_hour_for_a_week_and_sent_once_the_server_is_back() -> None:
    create_notifications([hold_draft(make_recipient())], now=NOON)
    Delivery.objects.update(state=DeliveryState.PARKED, attempts=5, next_try_at=NOON)
    broken = failing(ConnectionRefusedError("away"))

    assert deliver(broken, NOON + HOUR) == Delivered(failed=1)
    assert deliver(broken, NOON + HOUR + 59 * MINUTE) == Delivered()
    assert Delivery.objects.values_list("state", "attempts").get() == (DeliveryState.PARKED, 6)
    assert deliver(Outbox(), NOON + 2 * HOUR) == Delivered(sent=1)

    Delivery.objects.update(state=DeliveryState.PARKED, next_try_at=NOON)
    assert deliver(Outbox(), NOON + dt.timedelta(days=7)) == Delivered()


def test_one_that_had_failed_was_sent__parked_ones_of_its_channel_are_due() -> None:
    hob, cal = make_recipient(), make_recipient("Cal Wick")
    make_webhook(cal)
    create_notifications([hold_draft(hob), hold_draft(cal)], now=NOON)
    Delivery.objects.filter(person=cal).update(state=DeliveryState.PARKED, attempts=5, next_try_at=NOON + HOUR)

    assert deliver(failing(ConnectionRefusedError("away"))) == Delivered(failed=1)
    assert deliver(Outbox(), NOON + MINUTE) == Delivered(sent=2)

    assert dict(Delivery.objects.filter(person=cal).values_list("channel", "state")) == {
        "mail": DeliveryState.SENT,
        "webhook": DeliveryState.PARKED,
    }


def test_others_leave_at_their_first_try__the_parked_one_waits_for_its_turn() -> None:
    """What is wrong with one letter alone is not tried again with every other that leaves."""
    hob, cal = make_recipient(), make_recipient("Cal Wick")
    create_notifications([hold_draft(hob), hold_draft(cal)], now=NOON)
    Delivery.objects.filter(person=cal).update(state=DeliveryState.PARKED, attempts=5, next_try_at=NOON + HOUR)

    assert deliver(Outbox(), NOON + MINUTE) == Delivered(sent=1)
    assert Delivery.objects.get(person=cal).state == DeliveryState.PARKED


def test_no_mail_server_is_set__never_marked_as_sent_and_says_why(settings: Settings) -> None:
    create_notifications([hold_draft(make_recipient())], now=NOON)
    settings.MAIL_SERVER_SET = False
    outbox = Outbox()

    assert deliver(outbox) == Delivered()

    assert outbox.sent == []
    delivery = Delivery.objects.get()
    assert (delivery.state, delivery.sent_at, delivery.attempts) == (DeliveryState.PARKED, None, 0)
    assert delivery.last_error == "not sent: no mail server is set (EMAIL_HOST)"
    settings.MAIL_SERVER_SET = True
    assert deliver(outbox, NOON + HOUR) == Delivered(sent=1)


def test_all_that_it_tells_of_has_ended__dropped_and_what_still_holds_is_told_alone() -> None:
    hob, cal = make_recipient(), make_recipient("Cal Wick")
    document = DocumentFactory.create(kind="insurance", recorded_by=hob)
    gone = NotificationDraft(
        kind=NotificationKind.DOCUMENT_ENDING, code="hold_placed", subject=document.pk, people=[hob.pk, cal.pk],
        facts=HOLD_FACTS, urgent=True,
    )  # fmt: skip
    create_notifications([gone, hold_draft(cal, hold=13)], now=NOON)
    Document.objects.update(superseded_at=NOON)
    outbox = Outbox()

    assert deliver(outbox) == Delivered(sent=1)

    (letter,) = outbox.sent
    assert (letter.to, letter.subject) == ("cal@carrier.invalid", "Hold 13 on unit LR-46")
    assert Delivery.objects.get(person=hob).state == DeliveryState.DROPPED


def test_failed_once__sent_at_the_next_try_with_the_same_id() -> None:
    create_notifications([hold_draft(make_recipient())], now=NOON)
    tried: list[str] = []

    def once(letter: Mail) -> Exception | None:
        tried.append(letter.message_id)
        return TimeoutError("slow") if len(tried) == 1 else None

    outbox = Outbox(fails=once)
    deliver(outbox)
    deliver(outbox, NOON + MINUTE)

    assert tried[0] == tried[1] == outbox.message_ids[0]
    delivery = Delivery.objects.get()
    assert (delivery.state, delivery.attempts, delivery.last_error) == (DeliveryState.SENT, 2, "")


def test_one_letter_cannot_be_worded__the_others_leave_and_it_says_why() -> None:
    hob, cal = make_recipient(), make_recipient("Cal Wick")
    create_notifications([hold_draft(hob)], now=NOON)
    create_notifications([hold_draft(cal)], now=NOON + MINUTE)
    hob.notifications.update(code="no_such_code")
    outbox = Outbox()

    assert deliver(outbox, NOON + MINUTE) == Delivered(sent=1, failed=1)

    assert [letter.to for letter in outbox.sent] == ["cal@carrier.invalid"]
    assert Delivery.objects.get(person=hob).last_error == "UnknownCodeError: no_such_code"


def test_channel_failed__begun_anew_for_the_next_letter() -> None:
    create_notifications([hold_draft(make_recipient())], now=NOON)
    broken = failing(OSError("reset"))

    deliver(broken)

    assert broken.closed == 2  # once when it failed, once at the end of the run


def test_leased_by_a_worker_that_died__sent_after_the_lease_with_the_same_id() -> None:
    create_notifications([hold_draft(make_recipient())], now=NOON)
    lost = lease_next(habits_in_force(NOON), now=NOON)
    assert lost is not None
    outbox = Outbox()

    assert deliver(outbox, NOON + LEASE - dt.timedelta(seconds=1)) == Delivered()
    assert deliver(outbox, NOON + LEASE) == Delivered(sent=1)
    assert outbox.message_ids == [lost.delivery.message_id]
    assert Delivery.objects.get().attempts == 2


def test_five_workers_died_over_it__parked_instead_of_tried_for_ever() -> None:
    create_notifications([hold_draft(make_recipient())], now=NOON)
    for number in range(5):
        assert lease_next(habits_in_force(NOON), now=NOON + number * LEASE) is not None
    outbox = Outbox()

    assert deliver(outbox, NOON + 5 * LEASE) == Delivered()

    delivery = Delivery.objects.get()
    assert outbox.sent == []
    assert (delivery.state, delivery.attempts) == (DeliveryState.PARKED, 5)
    assert delivery.last_error.startswith("the worker was lost while sending")


def test_failure_told_after_the_lease_went_to_another__changes_nothing() -> None:
    create_notifications([hold_draft(make_recipient())], now=NOON)

    def slow(_: Mail) -> Exception:
        assert lease_next(habits_in_force(NOON), now=NOON + LEASE) is not None
        return TimeoutError("slow")

    deliver(Outbox(fails=slow))

    delivery = Delivery.objects.get()
    assert (delivery.attempts, delivery.claimed_until, delivery.last_error) == (2, NOON + 2 * LEASE, "")


@pytest.mark.parametrize(
    ("field", "value", "state", "why"),
    [
        ("email", "", DeliveryState.PARKED, "the person has no address"),
        ("left_on", dt.date(2026, 3, 6), DeliveryState.DROPPED, "the person has left"),
    ],
)
def test_recipient_without_address__is_parked_or_dropped_after_leaving(
    field: str, value: object, state: DeliveryState, why: str
) -> None:
    hob = make_recipient()
    create_notifications([hold_draft(hob)], now=NOON)
    setattr(hob, field, value)
    hob.save()

    assert deliver(Outbox()) == Delivered()

    delivery = Delivery.objects.get()
    assert (delivery.state, delivery.attempts, delivery.last_error) == (state, 0, why)


def test_parked_for_long_when_the_person_left__sent_again_it_is_parked_no_more() -> None:
    hob = make_recipient()
    create_notifications([hold_draft(hob)], now=NOON)
    Delivery.objects.update(state=DeliveryState.PARKED)
    hob.left_on = dt.date(2026, 3, 6)
    hob.save()
    later = NOON + dt.timedelta(days=10)

    retry_deliveries(channel=None, person=None, actor=make_person("Root Admin", Role.ADMINISTRATOR), now=later)
    deliver(Outbox(), later)

    assert Delivery.objects.get().state == DeliveryState.DROPPED


def test_digest_found_in_quiet_hours__put_off_to_their_end_without_an_attempt() -> None:
    make_carrier()
    create_notifications([waiting_draft(make_recipient())], now=NOON)
    gather_summaries(now=MORNING)
    outbox = Outbox()

    assert deliver(outbox, NIGHT) == Delivered()

    delivery = Delivery.objects.get()
    # 06:00 on the 8th, an hour earlier in UTC since the clocks changed in the night.
    assert (delivery.attempts, delivery.next_try_at) == (0, dt.datetime(2026, 3, 8, 11, tzinfo=dt.UTC))
    assert deliver(outbox, delivery.next_try_at) == Delivered(sent=1)


def test_digest_failed_just_before_quiet_hours__tried_again_at_their_end() -> None:
    make_carrier()
    create_notifications([waiting_draft(make_recipient())], now=NOON)
    gather_summaries(now=MORNING)

    deliver(failing(OSError("reset")), dt.datetime(2026, 3, 8, 1, 59, 30, tzinfo=dt.UTC))

    assert Delivery.objects.get().next_try_at == dt.datetime(2026, 3, 8, 11, tzinfo=dt.UTC)


def test_urgent_in_quiet_hours__leaves_at_once() -> None:
    make_carrier()
    create_notifications([hold_draft(make_recipient())], now=NIGHT)

    assert deliver(Outbox(), NIGHT) == Delivered(sent=1)


def test_digests_waiting_longer__urgent_leaves_before_them() -> None:
    make_carrier()
    hob = make_recipient()
    create_notifications([waiting_draft(hob)], now=NOON)
    gather_summaries(now=MORNING)
    create_notifications([hold_draft(hob)], now=MORNING + MINUTE)
    outbox = Outbox()

    deliver(outbox, MORNING + MINUTE)

    assert [letter.subject for letter in outbox.sent] == ["Hold 12 on unit LR-46", "Notifications, Sat 7 Mar 2026: 1"]


def test_more_notifications_than_a_message_spells_out__rest_counted() -> None:
    make_carrier()
    hob = make_recipient()
    create_notifications([waiting_draft(hob) for _ in range(53)], now=NOON)
    gather_summaries(now=MORNING)
    outbox = Outbox()

    deliver(outbox, MORNING)

    (letter,) = outbox.sent
    assert letter.subject == "Notifications, Sat 7 Mar 2026: 53"
    assert letter.text.count("Unit LR-46, hold 12") == 50
    assert "More notifications on your list: 3." in letter.text


def test_half_a_minute_passed__rest_left_to_the_next_run() -> None:
    create_notifications([hold_draft(make_recipient(f"P{number} Person")) for number in range(3)], now=NOON)
    instants = iter([NOON, NOON, NOON, NOON + RUN_FOR])
    outbox = Outbox()

    done = deliver_pending(clock=lambda: next(instants), senders=Senders({Channel.MAIL: outbox}))

    assert done == Delivered(sent=1)


def test_asked_to_stop__letter_in_hand_finished_and_no_other_begun() -> None:
    create_notifications([hold_draft(make_recipient(f"P{number} Person")) for number in range(3)], now=NOON)
    outbox = Outbox()

    done = deliver_pending(
        clock=standing(NOON), senders=Senders({Channel.MAIL: outbox}), stop=lambda: len(outbox.sent) == 2
    )

    assert done == Delivered(sent=2)


def test_mail_backend_sends_nothing_without_a_word__counts_as_failure(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("django.core.mail.backends.locmem.EmailBackend.send_messages", lambda *_: 0)
    letter = Mail("hob@carrier.invalid", "subject", "text", "<p>text</p>", "en", "<1@localhost>")

    with pytest.raises(MailNotSentError):
        MailSender().send(letter)


def test_channel_without_a_sender__kept_and_says_so() -> None:
    hob = make_recipient(email="")
    make_webhook(hob)
    create_notifications([hold_draft(hob)], now=NOON)

    assert deliver(Outbox()) == Delivered(failed=1)
    assert Delivery.objects.get().last_error == "KeyError: 'webhook'"
