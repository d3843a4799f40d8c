"""Notifications brought by a real worker process, told to job through a real Redis that is then taken away from it."""

import datetime as dt
import json
import re
import threading
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from celery import Celery
from kombu.exceptions import OperationalError

from common import clock
from common.causes import NOTHING, caused_by
from common.clock import day_in_zone
from fleet.enums import DeliveryState, NotificationKind, Role
from fleet.models import Delivery, Document, JobRun, Notification, Person, QueueReport
from tests.factories.fleet import (
    DocumentFactory,
    PolicyFactory,
    hold_draft,
    make_carrier,
    make_recipient,
    owe,
    waiting_draft,
)
from tests.support.broker import Broker
from tests.support.committing import CommittingDatabase
from tests.support.mail_sink import MailSink
from tests.support.sweepers import WORKER, Sweeper, sweeping

pytestmark = [pytest.mark.timeout(120), pytest.mark.long]

SWEEP, DELIVER = "escalate_notifications", "deliver_notifications"
REMIND = "remind_of_documents"
PATIENCE_S = 40.0
WITHIN_S = 60.0
"""Within a minute of the broker's recovery everything owed must have been delivered."""


def say(broker: Broker, *tasks: str) -> None:
    """Say once what the beat says every minute, and give up where there is no broker, as the beat does."""
    with caused_by(NOTHING), Celery(broker=broker.url, set_as_current=False, fixups=[]) as app:
        app.conf.update(broker_transport_options={"socket_timeout": 1, "socket_connect_timeout": 1, "max_retries": 0})
        for task in tasks:
            said = {"said_at": time.time()}  # as config.celery_logs writes it where it is loaded
            app.send_task(task, queue="jobs", retry=False, ignore_result=True, headers=said)


@contextmanager
def beating(broker: Broker) -> Iterator[None]:
    """Say all of it twice a second, whatever becomes of the broker, until the block ends."""
    over = threading.Event()

    def beat() -> None:
        while not over.wait(0.5):
            try:
                say(broker, REMIND, SWEEP, DELIVER)
            except OperationalError:
                continue

    thread = threading.Thread(target=beat)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()


@pytest.fixture
def worker(committing_db: CommittingDatabase, mail_sink: MailSink, broker: Broker, tmp_path: Path) -> Iterator[Sweeper]:
    with sweeping(WORKER, committing_db.web, mail_sink, tmp_path, broker.url) as sweeper:
        yield sweeper


def owe_to(name: str, *, ago: dt.timedelta = dt.timedelta(0)) -> str:
    """Owe an urgent notification; the Message-ID under which it must come."""
    person = make_recipient(name)
    owe(hold_draft(person), now=clock.now() - ago)
    return Delivery.objects.get(person=person).message_id


def notify_by_document() -> Person:
    """Put a document on record whose last day is today, of which nobody is told yet; whoever is to be told of it."""
    make_carrier()
    vera = make_recipient("Vera Holt", roles=(Role.COMPLIANCE,))
    recorded = {"recorded_at": clock.now(), "recorded_by": vera}
    for kind in ("unified_registration_fee", "biennial_update"):  # nothing else is missing
        DocumentFactory.create(kind=kind, ends_on=dt.date(2099, 12, 31), **recorded)
    DocumentFactory.create(kind="insurance", ends_on=day_in_zone(clock.now(), "America/Chicago"), **recorded)
    return vera


def let_morning_come(vera: Person) -> str:
    """Wait until she is owed the reminder, then let her digest close; the Message-ID under which it must come."""
    until = time.monotonic() + PATIENCE_S
    while not Notification.objects.filter(person=vera, kind=NotificationKind.DOCUMENT_ENDING).exists():
        assert time.monotonic() < until, "nothing was owed"
        time.sleep(0.05)
    morning = clock.now() + dt.timedelta(seconds=0.5)
    local = morning.astimezone(ZoneInfo("America/Chicago"))
    hours = {"morning": local.time().isoformat(), "quiet_from": "00:00", "quiet_until": "00:00"}
    now = clock.now()
    PolicyFactory.create(key="notification_hours", value=hours, valid_from=now, recorded_at=now)
    return f"<digest.{vera.pk}.{local.date()}.mail@localhost>"


def told_once(vera: Person) -> bool:
    """Whether she is owed the one reminder, once, and its digest names it."""
    return Notification.objects.get(person=vera).subject_id == Document.objects.get(kind="insurance").pk


def settle() -> dict[str, int]:
    """The deliveries by state, once none is owed any more."""
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until and Delivery.objects.filter(state=DeliveryState.PENDING).exists():
        time.sleep(0.05)
    return Counter(Delivery.objects.values_list("state", flat=True))


def test_owed__mailed_by_the_worker_when_it_is_told_and_once_only(
    worker: Sweeper, broker: Broker, mail_sink: MailSink
) -> None:
    with caused_by("request-7"):
        expected = owe_to("Hob Anselm")

    say(broker, DELIVER, DELIVER, SWEEP)

    assert mail_sink.wait_for(1, PATIENCE_S), worker.log
    assert settle() == {DeliveryState.SENT: 1}, worker.log
    say(broker, DELIVER)
    say(broker, DELIVER)
    time.sleep(1)
    assert set(JobRun.objects.values_list("name", "failed_at")) == {
        ("deliver_notifications", None),
        ("escalate_notifications", None),
    }
    assert mail_sink.message_ids == [expected]
    lines = [json.loads(line) for line in worker.log.splitlines() if line.startswith("{")]
    assert len(lines) > 5, worker.log
    assert [line["message"] for line in lines if line["request_id"] == "request-7"] == [
        f"delivery {Delivery.objects.get().pk} has left by mail"
    ]
    of_runs = {line["request_id"] for line in lines if "succeeded in" in line["message"]}
    assert {name.partition("-")[0] for name in of_runs} == {"deliver_notifications", "escalate_notifications"}
    assert len(of_runs) == 5, "each run has a name of its own"
    report = QueueReport.objects.get()
    assert (report.name, report.waiting) == ("jobs", 0)
    assert 0 < report.waited_s < PATIENCE_S
    message = mail_sink.messages[0]
    assert (message["To"], message["Subject"]) == ("hob@carrier.invalid", "Hold 12 on unit LR-46")
    assert [part.get_content_type() for part in message.walk()] == ["multipart/alternative", "text/plain", "text/html"]


def test_digest__gathered_by_one_task_and_mailed_by_the_other_and_the_other_tasks_are_known(
    worker: Sweeper, broker: Broker, mail_sink: MailSink, tmp_path: Path
) -> None:
    make_carrier()
    hob = make_recipient()
    whole_day = {"morning": "00:00", "quiet_from": "00:00", "quiet_until": "00:00"}
    yesterday = clock.now() - dt.timedelta(days=2)
    PolicyFactory.create(key="notification_hours", value=whole_day, valid_from=yesterday, recorded_at=yesterday)
    owe(waiting_draft(hob), waiting_draft(hob), now=yesterday)

    say(broker, SWEEP, DELIVER, "write_history_digest", "purge_requests")

    assert mail_sink.wait_for(1, PATIENCE_S), worker.log
    assert re.fullmatch(r"Notifications, \w{3} \d+ \w{3} \d{4}: 2", str(mail_sink.messages[0]["Subject"]))
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until and worker.log.count("succeeded in") < 4:
        time.sleep(0.05)
    assert worker.log.count("succeeded in") == 4, worker.log
    assert len(list((tmp_path / "digests").glob("history-*.jsonl"))) == 1


@pytest.mark.drill
def test_redis_frozen_then_killed_and_started_empty__everything_owed_meanwhile_arrives_once(
    worker: Sweeper, broker: Broker, mail_sink: MailSink
) -> None:
    expected = [owe_to("First Person")]
    with beating(broker):
        assert mail_sink.wait_for(1, PATIENCE_S), worker.log
        broker.freeze()
        vera = notify_by_document()
        expected.append(owe_to("Second Person"))
        time.sleep(3)
        broker.thaw()
        recovered = time.monotonic()
        expected.append(let_morning_come(vera))
        assert mail_sink.wait_for(3, PATIENCE_S), worker.log
        assert time.monotonic() - recovered < WITHIN_S
        assert settle() == {DeliveryState.SENT: 3}, worker.log

        broker.kill()
        time.sleep(1)  # what the worker was about when it lost its broker is over
        expected += [owe_to("Third Person"), owe_to("Fourth Person")]
        time.sleep(1)
        assert len(mail_sink.messages) == 3
        broker.start_empty()
        recovered = time.monotonic()
        assert mail_sink.wait_for(5, PATIENCE_S), worker.log
        assert time.monotonic() - recovered < WITHIN_S
        assert settle() == {DeliveryState.SENT: 5}, worker.log

    assert Counter(mail_sink.message_ids) == Counter(expected)
    assert told_once(vera)


@pytest.mark.drill
def test_redis_emptied_with_messages_in_it__the_next_word_brings_what_is_pending(
    committing_db: CommittingDatabase, mail_sink: MailSink, broker: Broker, tmp_path: Path
) -> None:
    expected = [owe_to("Hob Anselm")]
    vera = notify_by_document()
    say(broker, REMIND, DELIVER, SWEEP)
    assert broker.empty() > 0

    with sweeping(WORKER, committing_db.web, mail_sink, tmp_path, broker.url) as worker, beating(broker):
        expected.append(let_morning_come(vera))

        assert mail_sink.wait_for(2, PATIENCE_S), worker.log
        assert settle() == {DeliveryState.SENT: 2}, worker.log

    assert Counter(mail_sink.message_ids) == Counter(expected)
    assert told_once(vera)


@pytest.mark.drill
@pytest.mark.crash
def test_worker_lost_after_sending__sends_once_more_with_the_same_id(
    committing_db: CommittingDatabase, mail_sink: MailSink, broker: Broker, tmp_path: Path
) -> None:
    expected = owe_to("Hob Anselm")
    mail_sink.stalled.set()
    with sweeping(WORKER, committing_db.web, mail_sink, tmp_path, broker.url) as lost:
        say(broker, DELIVER)
        assert mail_sink.wait_for(1, PATIENCE_S), lost.log
        lost.kill()
    delivery = Delivery.objects.get()
    assert (delivery.state, delivery.attempts) == (DeliveryState.PENDING, 1)
    assert delivery.claimed_until is not None
    mail_sink.stalled.clear()
    Delivery.objects.update(claimed_until=clock.now())  # the lease's two minutes have passed

    with sweeping(WORKER, committing_db.web, mail_sink, tmp_path, broker.url) as next_one, beating(broker):
        assert mail_sink.wait_for(2, PATIENCE_S), next_one.log
        assert settle() == {DeliveryState.SENT: 1}, next_one.log

    assert mail_sink.message_ids == [expected, expected]
