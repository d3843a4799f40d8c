"""The same jobs in one process without a broker, as the demo has them."""

import time
from collections import Counter
from pathlib import Path

import psycopg
import pytest
from psycopg import sql

from common import clock
from fleet.enums import DeliveryState
from fleet.models import Delivery
from tests.factories.fleet import hold_draft, make_carrier, make_recipient, owe
from tests.support.committing import CommittingDatabase
from tests.support.mail_sink import MailSink
from tests.support.sweepers import Sweeper, sweeping

pytestmark = [pytest.mark.timeout(120), pytest.mark.long]

RUN = ("manage.py", "run_jobs", "--interval=0.2")
PATIENCE_S = 40.0


def owe_to(name: str) -> str:
    """Owe an urgent notification; the Message-ID under which it must come."""
    person = make_recipient(name)
    owe(hold_draft(person), now=clock.now())
    return Delivery.objects.get(person=person).message_id


def wait_for_log(sweeper: Sweeper, words: str) -> None:
    until = time.monotonic() + PATIENCE_S
    while words not in sweeper.log:
        assert time.monotonic() < until, sweeper.log
        time.sleep(0.05)


def test_owed_before_and_while_it_runs_and_while_it_has_no_database__each_mailed_once_and_stopped_in_order(
    committing_db: CommittingDatabase, mail_sink: MailSink, tmp_path: Path
) -> None:
    expected = [owe_to("First Person")]
    with sweeping(RUN, committing_db.web, mail_sink, tmp_path) as sweeper:
        assert mail_sink.wait_for(1, PATIENCE_S), sweeper.log
        expected.append(owe_to("Second Person"))
        assert mail_sink.wait_for(2, PATIENCE_S), sweeper.log
        expected.append(_lose_database_meanwhile(committing_db, sweeper))
        assert mail_sink.wait_for(3, PATIENCE_S), sweeper.log
        time.sleep(0.6)
        assert mail_sink.message_ids == expected
        assert set(Delivery.objects.values_list("state", flat=True)) == {DeliveryState.SENT}
        for number in range(200):
            owe_to(f"P{number} Person")
        assert mail_sink.wait_for(4, PATIENCE_S), sweeper.log

        assert sweeper.terminate() == 0, sweeper.log  # the letter that leaves is finished and marked first

    states = Counter(Delivery.objects.values_list("state", flat=True))
    assert states[DeliveryState.SENT] == len(mail_sink.messages) < 203
    assert not Delivery.objects.filter(claimed_until__isnull=False).exists()
    assert len(list((tmp_path / "digests").glob("history-*.jsonl"))) == 1


def test_once__does_everything_and_leaves(
    committing_db: CommittingDatabase, mail_sink: MailSink, tmp_path: Path
) -> None:
    make_carrier()
    expected = owe_to("Hob Anselm")

    with sweeping(("manage.py", "run_jobs", "--once"), committing_db.web, mail_sink, tmp_path) as sweeper:
        assert sweeper.process.wait(PATIENCE_S) == 0, sweeper.log

    assert mail_sink.message_ids == [expected]


def test_once_without_a_database__leaves_with_1_and_says_why(
    committing_db: CommittingDatabase, mail_sink: MailSink, tmp_path: Path
) -> None:
    nowhere = committing_db.web.with_name("no_such_database")

    with sweeping(("manage.py", "run_jobs", "--once"), nowhere, mail_sink, tmp_path) as sweeper:
        assert sweeper.process.wait(PATIENCE_S) == 1, sweeper.log

    assert "job deliver_notifications failed" in sweeper.log
    assert "Traceback" not in sweeper.log


def _lose_database_meanwhile(database: CommittingDatabase, sweeper: Sweeper) -> str:
    """Let nobody in but us, end the sweeper's connections, owe something once it has noticed, let it in again."""
    owner = database.owner
    expected = owe_to("Third Person")
    Delivery.objects.filter(message_id=expected).update(claimed_until=clock.now().replace(year=2099))
    allow = sql.SQL("ALTER DATABASE {} CONNECTION LIMIT {}")
    with psycopg.connect(owner.with_name("postgres").url(), autocommit=True) as connected:
        connected.execute(allow.format(sql.Identifier(owner.name), sql.Literal(0)))
        connected.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s AND usename = %s",
            [owner.name, database.web.user],
        )
        wait_for_log(sweeper, "job escalate_notifications failed")
        connected.execute(allow.format(sql.Identifier(owner.name), sql.Literal(-1)))
    Delivery.objects.filter(message_id=expected).update(claimed_until=None)
    return expected
