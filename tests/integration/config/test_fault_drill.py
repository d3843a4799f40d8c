"""Processes killed at random under load: what was acknowledged is there once, and nothing is stuck.

Web workers and masters, the sweeps and the database's sessions are killed twenty times while four phones hand in
walk-arounds of whole seconds that move the same units between combinations; each phone sends until it is answered.
"""

import http.client
import logging
import os
import random
import signal
import socket
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import partial
from http import HTTPStatus
from pathlib import Path
from typing import Any
from uuid import UUID

import psycopg
import pytest
from django.core.management import call_command

from common import clock
from common.ids import uuid7
from config.database_url import Database
from defects.enums import OPEN_DEFECT_STATES, SightingHow
from defects.models import Defect, Hold, Report, Sighting, Walkaround
from fixtures.scenario.client import Client, UnexpectedAnswerError
from fleet.demo_sign_ins import PASSWORD
from fleet.models import CouplingMember
from tests.support.committing import CommittingDatabase
from tests.support.mail_sink import MailSink
from tests.support.needs import need
from tests.support.server import ServerProcess, launch, wait_until_it_answers
from tests.support.sweepers import NO_BROKER, Sweeper
from tests.support.walks import body, check
from workorders.enums import STANDING_ORDER_STATES
from workorders.models import RepairOrder, RepairTask

Kill = Callable[[], None]

pytestmark = [pytest.mark.drill, pytest.mark.crash, pytest.mark.long, pytest.mark.timeout(170)]

KILLS = ["worker"] * 8 + ["master"] * 3 + ["sweeps"] * 3 + ["session"] * 6
BETWEEN_KILLS = 2
"""So many acknowledged reports at least lie between two kills, so that each meets a service that works."""
ENDS_AFTER_S = 110.0
"""Far more than it takes where nothing else is at work; it is there so that the drill stops by itself."""
STUCK_AFTER_S = 20.0
SECONDS = 3
RUN = ("manage.py", "run_sweeps", "--interval=1")
TRACTORS, TRAILERS = ("NL-15", "NL-16"), ("LR-44", "LR-45", "LR-46")
TIRES = [f"axle-{axle}-{side}" for axle in (1, 2) for side in ("left-outer", "right-outer")]


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
    """The sweeps, started anew when killed."""

    def __init__(self, database: Database, sink: MailSink, folder: Path) -> None:
        self._start = partial(Sweeper, RUN, database, sink, folder, NO_BROKER)
        self.running = self._start()

    def end(self) -> None:
        self.running.kill()

    def kill(self) -> None:
        self.end()
        self.running = self._start()


@dataclass
class Phones:
    """Drivers who walk round and send until each report is answered; what was, and what came in between."""

    address: str
    since: datetime
    stopping: threading.Event = field(default_factory=threading.Event)
    acknowledged: dict[UUID, int] = field(default_factory=dict)
    """The name of each report, and how many units it reports on."""
    came: Counter[str] = field(default_factory=Counter)
    stuck: list[str] = field(default_factory=list)

    def drive(self, username: str) -> None:
        """Hand in one walk-around after another."""
        device = Client(self.address, username)
        device.token = self._answered(device, "POST", "/api/v1/tokens", _sign_in(username))["token"]
        chance = random.Random(username)  # noqa: S311  spreads the work, hides nothing
        while not self.stopping.is_set() and not self.stuck:
            key, walk = uuid7(), _walk(chance, self.since)
            if self._answered(device, "PUT", f"/api/v1/walkarounds/{key}", walk) is not None:
                self.acknowledged[key] = len(walk["reports"])

    def wait_for(self, more: int, until: float) -> None:
        """Wait until so many more were acknowledged."""
        goal = len(self.acknowledged) + more
        while len(self.acknowledged) < goal and not self.stuck:
            assert time.monotonic() < until, f"{len(self.acknowledged)} acknowledged; {self.came}"
            time.sleep(0.01)

    def _answered(self, device: Client, method: str, path: str, sent: Any) -> Any:
        """The answer's body, however often it must be sent; None, and `stuck`, when it is refused or takes too long."""
        until = time.monotonic() + STUCK_AFTER_S
        why = "not answered in time"
        while time.monotonic() < until:
            try:
                answer = device.call(method, path, sent, expect=(200, 201, 503))
            except UnexpectedAnswerError as error:
                why = str(error)
                break
            except (OSError, http.client.HTTPException) as error:
                self.came[type(error).__name__] += 1
            else:
                self.came[str(answer.status)] += 1
                if answer.status != HTTPStatus.SERVICE_UNAVAILABLE:
                    return answer.body
                assert "retry-after" in answer.headers
            time.sleep(0.05)  # sooner than any phone, to stay within a minute
        self.stuck.append(f"{method} {path}: {why}")
        return None


def _sign_in(username: str) -> dict[str, str]:
    return {"username": username, "password": PASSWORD, "device": "phone"}


def _walk(chance: random.Random, since: datetime) -> dict[str, Any]:
    """One of the same few units behind another, at one of the same few seconds, now and then with a bad tire."""
    at = since.replace(microsecond=0) - chance.randrange(SECONDS) * timedelta(seconds=1)
    checks = [check("tires.trailer.body", chance.choice(TIRES), "defect")] if chance.random() < 0.5 else []
    reports: list[dict[str, Any]] = [
        {"unit": chance.choice(TRACTORS)},
        {"unit": chance.choice(TRAILERS), "checks": checks},
    ]
    return body(reports, finished_at=at, coupled=True)


@contextmanager
def driving(address: str, usernames: Sequence[str]) -> Iterator[Phones]:
    """Let all of them drive until the block ends."""
    phones = Phones(address, clock.now())
    threads = [threading.Thread(target=phones.drive, args=(username,)) for username in usernames]
    for thread in threads:
        thread.start()
    try:
        yield phones
    finally:
        phones.stopping.set()
        for thread in threads:
            thread.join()


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
            "sweeps": sweeps.kill,
            "session": lambda: end_session(database),
        }
        yield web.running.url, kills


def test_twenty_kills_under_load__every_acknowledged_report_is_there_once_and_none_is_stuck(
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
    call_command("verify_history")


def nothing_doubled() -> None:
    """One open defect for one fault, with one hold, one task and one order that stand; no unit in two places."""
    found = Defect.objects.filter(state__in=OPEN_DEFECT_STATES)
    places = found.values_list("unit", "point", "place")
    assert set(places) == {(trailer, "tires.trailer.body", place) for trailer, _, place in places}
    assert most(places) == 1
    assert Sighting.objects.filter(how=SightingHow.NEW).count() == found.count() > 0
    assert sorted(Hold.objects.filter(lifted_at=None).values_list("defect", flat=True)) == sorted(
        found.values_list("pk", flat=True)
    )
    assert sorted(RepairTask.objects.values_list("defect", flat=True)) == sorted(found.values_list("pk", flat=True))
    assert most(RepairOrder.objects.filter(state__in=STANDING_ORDER_STATES).values_list("unit", flat=True)) == 1
    assert most(CouplingMember.objects.filter(span__upper_inf=True).values_list("unit", flat=True)) == 1


def most(found: Iterable[Any]) -> int:
    """How often the commonest of them is there."""
    return max(Counter(found).values())
