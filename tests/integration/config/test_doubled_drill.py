"""Two of everything: web processes, workers and, by mistake, beats, on a real Redis that is then taken away.

Every walk-around is sent to both web processes at once; every notification must leave once, by mail and by post, also
what was owed while the broker was frozen, killed and emptied.
"""

import time
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import ExitStack
from datetime import timedelta
from pathlib import Path
from uuid import UUID

import pytest
from django.core.management import call_command

from common import clock
from common.ids import uuid7
from defects.models import Report, Walkaround
from fixtures.demo.sign_ins import PASSWORD
from fixtures.scenario.client import Client
from fleet.enums import Channel, DeliveryState
from fleet.models import Delivery, JobRun, Notification, Person, WebhookEndpoint
from tests.support.broker import Broker
from tests.support.committing import CommittingDatabase
from tests.support.mail_sink import MailSink
from tests.support.phones import TIRES, TRAILERS
from tests.support.post_sink import PostSink
from tests.support.server import serving
from tests.support.sweepers import BEAT, WORKER, Sweeper, sweeping
from tests.support.undoubled import most, nothing_doubled
from tests.support.walks import body, check

PATIENCE_S = 150.0
"""Twice the minute between two words of a beat, and more: nothing here is timed, all of it ends."""

pytestmark = [pytest.mark.drill, pytest.mark.crash, pytest.mark.long, pytest.mark.timeout(400)]


@pytest.fixture
def doors(ninefold_committed: CommittingDatabase, tmp_path: Path) -> Iterator[list[Client]]:
    """One driver's phone at each of two web processes."""
    with ExitStack() as running:
        phones = []
        for name in ("one", "other"):
            (tmp_path / name).mkdir()
            server = running.enter_context(serving(ninefold_committed.web, tmp_path / name))
            phones.append(Client(server.url, "iris"))
            phones[-1].sign_in("iris", PASSWORD)
        yield phones


@pytest.fixture
def sweepers(
    ninefold_committed: CommittingDatabase, mail_sink: MailSink, broker: Broker, tmp_path: Path
) -> Iterator[list[Sweeper]]:
    """Two workers and two beats."""
    with ExitStack() as running:
        started = []
        for number, command in enumerate(((*WORKER, "--hostname=one"), (*WORKER, "--hostname=other"), BEAT, BEAT)):
            folder = tmp_path / f"sweeper-{number}"
            folder.mkdir()
            started.append(
                running.enter_context(sweeping(command, ninefold_committed.web, mail_sink, folder, broker.url))
            )
        yield started


def report(doors: list[Client], place: str) -> UUID:
    """A bad tire, reported to both at once under one name: one takes it, the other knows it already."""
    key = uuid7()
    found = [check("tires.trailer.body", place, "defect")]
    walk = body(
        [{"unit": "NL-15"}, {"unit": TRAILERS[0], "checks": found}],
        finished_at=clock.now() - timedelta(seconds=1),
        coupled=True,
    )

    def send(phone: Client) -> int:
        return phone.call("PUT", f"/api/v1/walkarounds/{key}", walk, expect=(200, 201)).status

    with ThreadPoolExecutor(len(doors)) as pool:
        assert sorted(pool.map(send, doors)) == [200, 201]
    return key


def settle(sweepers: list[Sweeper], count: int) -> None:
    """Wait until so many messages or more were owed and all of them have left."""
    until = time.monotonic() + PATIENCE_S
    while Delivery.objects.filter(state=DeliveryState.SENT).count() < count or owed():
        assert time.monotonic() < until, [sweeper.log[-3000:] for sweeper in sweepers]
        time.sleep(0.1)


def owed() -> int:
    return Delivery.objects.filter(state=DeliveryState.PENDING, next_try_at__lte=clock.now()).count()


def test_two_of_everything__double_nothing_and_lose_nothing_with_the_broker(
    doors: list[Client],
    sweepers: list[Sweeper],
    broker: Broker,
    mail_sink: MailSink,
    post_sink: PostSink,
    tmp_path: Path,
) -> None:
    hob = Person.objects.get(username="hob")
    WebhookEndpoint.objects.create(
        person=hob, url=post_sink.url, secret="whsec_" + "a" * 32, recorded_at=clock.now(), recorded_by=hob
    )
    sent = [report(doors, place) for place in TIRES[:2]]
    settle(sweepers, 4)
    before = Delivery.objects.count()

    broker.freeze()
    sent.append(report(doors, TIRES[2]))
    time.sleep(3)
    broker.thaw()
    broker.kill()
    sent.append(report(doors, TIRES[3]))
    time.sleep(1)
    broker.start_empty()
    broker.empty()
    settle(sweepers, before + 2)

    assert set(Walkaround.objects.values_list("pk", flat=True)) == set(sent)
    assert Counter(Report.objects.values_list("walkaround", flat=True)) == dict.fromkeys(sent, 2)
    nothing_doubled()
    assert most(Notification.objects.values_list("dedupe_key", flat=True)) == 1
    by_mail = Delivery.objects.filter(channel=Channel.MAIL, state=DeliveryState.SENT)
    assert Counter(mail_sink.message_ids) == Counter(by_mail.values_list("message_id", flat=True))
    by_post = Delivery.objects.filter(channel=Channel.WEBHOOK, state=DeliveryState.SENT)
    assert most(post_sink.ids) == 1
    assert len(post_sink.ids) == by_post.count() > 0
    assert set(JobRun.objects.values_list("failed_at", flat=True)) == {None}
    written = next((digest.parent for digest in tmp_path.glob("*/digests/history-*")), None)
    call_command("verify_history", digests=written)
