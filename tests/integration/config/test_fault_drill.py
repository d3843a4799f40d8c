"""Processes killed at random under load: what was acknowledged is there once, and nothing is stuck.

Web workers and masters, the jobs and the database's sessions are killed twenty times while four phones hand in
walk-arounds of whole seconds that move the same units between combinations; each phone sends until it is answered.
"""

import logging
import os
import random
import signal
import socket
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from functools import partial
from pathlib import Path

import psycopg
import pytest
from django.core.management import call_command

from config.database_url import Database
from defects.models import Report, Walkaround
from tests.support.committing import CommittingDatabase
from tests.support.mail_sink import MailSink
from tests.support.needs import need
from tests.support.phones import STUCK_AFTER_S, driving
from tests.support.server import ServerProcess, launch, wait_until_it_answers
from tests.support.sweepers import NO_BROKER, Sweeper
from tests.support.undoubled import most, nothing_doubled

Kill = Callable[[], None]

pytestmark = [pytest.mark.drill, pytest.mark.crash, pytest.mark.long, pytest.mark.timeout(170)]

KILLS = ["worker"] * 8 + ["master"] * 3 + ["jobs"] * 3 + ["session"] * 6
BETWEEN_KILLS = 2
"""So many acknowledged reports at least lie between two kills, so that each meets a service that works."""
ENDS_AFTER_S = 110.0
"""Far more than it takes where nothing else is at work; it is there so that the drill stops by itself."""
RUN = ("manage.py", "run_jobs", "--interval=1")


class Web:
    """The web processes behind a door that stays open, as a restart of the service leaves it."""

    def __init__(self, database: Database, folder: Path, door: socket.socket) -> None:
        self._start = partial(launch, database, folder, door)
        self.running: ServerProcess = self._start()

    def _workers(self) -> list[int]:
        master = self.running.process.pid
        return [int(word) for word in Path(f"/proc/{master}/task/{master}/children").read_text().split()]

    def kill_worker(self) -> None:
        """One of them, once there is one; the master starts another."""
        until = time.monotonic() + STUCK_AFTER_S
        while not (found := self._workers()):
            assert time.monotonic() < until, self.running.log.read_text()
            time.sleep(0.02)
        with suppress(ProcessLookupError):
            os.kill(found[0], signal.SIGKILL)

    def kill_all(self) -> None:
        """The master, and the workers that it leaves."""
        left = self._workers()
        self.running.process.kill()
        for worker in left:
            with suppress(ProcessLookupError):
                os.kill(worker, signal.SIGKILL)
        self.running.process.wait(STUCK_AFTER_S)

    def kill_master(self) -> None:
        """All of them at once, and start anew."""
        self.kill_all()
        self.running = self._start()


class Sweeps:
    """The jobs, started anew when killed."""

    def __init__(self, database: Database, sink: MailSink, folder: Path) -> None:
        self._start = partial(Sweeper, RUN, database, sink, folder, NO_BROKER)
        self.running = self._start()

    def end(self) -> None:
        self.running.kill()

    def kill(self) -> None:
        self.end()
        self.running = self._start()


def end_session(database: CommittingDatabase) -> None:
    """End a session of the web role, at work if there is one. The server itself is everybody's, and stays."""
    with psycopg.connect(database.owner.with_name("postgres").url(), autocommit=True) as connection:
        connection.execute(
            "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE datname = %s AND usename = %s"
            " ORDER BY state = 'idle', random() LIMIT 1",
            [database.owner.name, database.web.user],
        )


@contextmanager
def service(database: CommittingDatabase, sink: MailSink, folder: Path) -> Iterator[tuple[str, dict[str, Kill]]]:
    """The running service's address, and how to kill each of its processes."""
    with socket.create_server(("127.0.0.1", 0), backlog=64) as door, ExitStack() as ending:
        web = Web(database.web, folder, door)
        ending.callback(web.kill_all)
        sweeps = Sweeps(database.web, sink, folder)
        ending.callback(sweeps.end)
        wait_until_it_answers(web.running)
        kills: dict[str, Kill] = {
            "worker": web.kill_worker,
            "master": web.kill_master,
            "jobs": sweeps.kill,
            "session": lambda: end_session(database),
        }
        yield web.running.url, kills


def test_twenty_kills_under_load__every_acknowledged_report_is_there_once(
    ninefold_committed: CommittingDatabase, mail_sink: MailSink, tmp_path: Path
) -> None:
    need(sys.platform == "linux", "Linux's list of processes")
    until = time.monotonic() + ENDS_AFTER_S
    order = random.sample(KILLS, len(KILLS))
    with (
        service(ninefold_committed, mail_sink, tmp_path) as (address, kills),
        driving(address, ("iris", "sol", "ada", "tomo")) as phones,
    ):
        for kill in order:
            phones.wait_for(BETWEEN_KILLS, until)
            kills[kill]()
        phones.wait_for(BETWEEN_KILLS, until)
    logging.getLogger(__name__).info("%d acknowledged; %s", len(phones.acknowledged), phones.came)

    assert phones.stuck == []
    assert set(Walkaround.objects.values_list("pk", flat=True)) == set(phones.acknowledged)
    assert Counter(Report.objects.values_list("walkaround", flat=True)) == phones.acknowledged
    assert most(Walkaround.objects.values_list("signature", flat=True)) == 1
    nothing_doubled()
    call_command("verify_history", digests=tmp_path / "digests")
