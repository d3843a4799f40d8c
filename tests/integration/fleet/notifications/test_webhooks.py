"""Notifications posted to an address of the person's own, over real connections to a server of the test's own."""

import base64
import datetime as dt
import hashlib
import hmac
import json
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, HTTPServer
from threading import Thread
from typing import Any

import pytest
from django.db import transaction
from pytest_django import Settings

from fleet.enums import Channel, DeliveryState
from fleet.models import Delivery, Person
from fleet.services.notifications.channels import Senders, WebhookSender
from fleet.services.notifications.create import create_notifications
from fleet.services.notifications.deliveries import Delivered, deliver_pending
from fleet.services.notifications.job import gather_summaries
from fleet.services.notifications.webhooks import close_webhook
from tests.factories.fleet import NOON, hold_draft, make_carrier, make_recipient, make_webhook, waiting_draft
from tests.support.committing import CommittingDatabase
from tests.support.outbox import Outbox

MORNING = dt.datetime(2026, 3, 7, 12, tzinfo=dt.UTC)


class Receiver(HTTPServer):
    """Answers what it is told to, in turn, and keeps what came with its headers."""

    answers: list[int]
    taken: list[tuple[dict[str, str], bytes]]


class Handler(BaseHTTPRequestHandler):
    def do_POST(self) -> None:
        assert isinstance(self.server, Receiver)
        body = self.rfile.read(int(self.headers["Content-Length"]))
        self.server.taken.append(({name.lower(): value for name, value in self.headers.items()}, body))
        self.send_response(self.server.answers.pop(0))
        self.end_headers()

    def log_message(self, *_: object) -> None:
        pass


@pytest.fixture
def receiver(committing_db: CommittingDatabase, settings: Settings) -> Iterator[Receiver]:
    settings.WEBHOOKS_TO_PRIVATE = True
    with Receiver(("127.0.0.1", 0), Handler) as server:
        server.answers, server.taken = [], []
        thread = Thread(target=server.serve_forever, args=(0.02,))
        thread.start()
        yield server
        server.shutdown()
        thread.join()


def posted_to(receiver: Receiver, **fields: Any) -> Person:
    make_carrier()
    hob = make_recipient(**fields)
    make_webhook(hob, f"http://127.0.0.1:{receiver.server_port}/in")
    return hob


def deliver(at: dt.datetime = NOON) -> Delivered:
    return deliver_pending(
        clock=lambda: at, senders=Senders({Channel.MAIL: Outbox(), Channel.WEBHOOK: WebhookSender()})
    )


def owe(hob: Person, *, waiting: bool = False) -> None:
    with transaction.atomic():
        create_notifications([waiting_draft(hob) if waiting else hold_draft(hob)], now=NOON)


def test_urgent__posted_beside_mail_signed_and_in_words(receiver: Receiver) -> None:
    hob = posted_to(receiver)
    receiver.answers = [204]
    owe(hob)

    assert deliver() == Delivered(sent=2)

    [(headers, body)] = receiver.taken
    key = base64.b64decode("A" * 43 + "=")
    signed = f"{headers['webhook-id']}.{headers['webhook-timestamp']}.".encode() + body
    expected = "v1," + base64.b64encode(hmac.digest(key, signed, hashlib.sha256)).decode()
    assert headers["webhook-signature"] == expected
    assert "." not in headers["webhook-id"].partition("@")[0]
    told = json.loads(body)
    assert told["subject"] == "Hold 12 on unit LR-46"
    assert [(notification["kind"], notification["urgent"]) for notification in told["notifications"]] == [
        ("hold_placed", True)
    ]
    assert told["notifications"][0]["text"] in told["text"]


def test_refused_then_taken__tried_again_under_the_same_id(receiver: Receiver) -> None:
    hob = posted_to(receiver, email="")
    receiver.answers = [500, 200]
    owe(hob)

    assert deliver() == Delivered(failed=1)
    assert deliver(NOON + dt.timedelta(minutes=2)) == Delivered(sent=1)

    first, second = (headers["webhook-id"] for headers, _ in receiver.taken)
    assert first == second
    row = Delivery.objects.get()
    assert (row.channel, row.state, row.attempts) == (Channel.WEBHOOK, DeliveryState.SENT, 2)


def test_refused_five_times__parked(receiver: Receiver) -> None:
    hob = posted_to(receiver, email="")
    receiver.answers = [503] * 5
    owe(hob)

    for hours in range(5):
        deliver(NOON + dt.timedelta(hours=3 * hours))

    assert Delivery.objects.get().state == DeliveryState.PARKED
    assert len(receiver.taken) == 5


def test_closed_meanwhile__parked_and_nothing_posted(receiver: Receiver) -> None:
    hob = posted_to(receiver, email="")
    owe(hob)
    close_webhook(webhook_id=hob.webhooks.get().pk, actor=hob, now=NOON)

    assert deliver() == Delivered()
    assert (Delivery.objects.get().state, receiver.taken) == (DeliveryState.PARKED, [])


def test_private_address_without_the_setting__never_connected_to(receiver: Receiver, settings: Settings) -> None:
    hob = posted_to(receiver, email="")
    owe(hob)
    settings.WEBHOOKS_TO_PRIVATE = False

    assert deliver() == Delivered(failed=1)
    assert receiver.taken == []


def test_digest__carries_the_same_on_both_channels(receiver: Receiver) -> None:
    hob = posted_to(receiver)
    owe(hob, waiting=True)

    assert gather_summaries(now=MORNING) == 2

    mail, hook = (Delivery.objects.get(channel=channel) for channel in (Channel.MAIL, Channel.WEBHOOK))
    assert set(mail.notifications.all()) == set(hook.notifications.all()) != set()
