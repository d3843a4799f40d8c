"""Phones that hand in walk-arounds of the same few units under load, each sent until it is answered."""

import http.client
import random
import threading
import time
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from http import HTTPStatus
from types import MappingProxyType
from typing import Any
from uuid import UUID

from common import clock
from common.ids import uuid7
from fixtures.demo.sign_ins import PASSWORD
from fixtures.scenario.client import Client, UnexpectedAnswerError
from tests.support.walks import body, check

STUCK_AFTER_S = 20.0
SECONDS = 3
TRACTORS, TRAILERS = ("NL-15", "NL-16"), ("LR-44", "LR-45", "LR-46")
TIRES = [f"axle-{axle}-{side}" for axle in (1, 2) for side in ("left-outer", "right-outer")]


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
        device.token = self._answered(device, "POST", "/api/v1/tokens", sign_in(username))["token"]
        chance = random.Random(username)  # noqa: S311  spreads the work, hides nothing
        while not self.stopping.is_set() and not self.stuck:
            key, walk = uuid7(), _walk(chance, self.since)
            if self._answered(device, "PUT", f"/api/v1/walkarounds/{key}", walk) is not None:
                self.acknowledged[key] = len(walk["reports"])

    def ask(self, username: str, paths: Sequence[str]) -> None:
        """Read the same few addresses again and again."""
        device = Client(self.address, username)
        device.token = self._answered(device, "POST", "/api/v1/tokens", sign_in(username))["token"]
        while not self.stopping.is_set() and not self.stuck:
            for path in paths:
                self._answered(device, "GET", path, None)

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


def sign_in(username: str) -> dict[str, str]:
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
def driving(
    address: str, usernames: Sequence[str], clearance_request: Mapping[str, Sequence[str]] = MappingProxyType({})
) -> Iterator[Phones]:
    """Let all of them drive until the block ends, and others ask for addresses."""
    phones = Phones(address, clock.now())
    threads = [threading.Thread(target=phones.drive, args=(username,)) for username in usernames]
    threads += [threading.Thread(target=phones.ask, args=each) for each in clearance_request.items()]
    for thread in threads:
        thread.start()
    try:
        yield phones
    finally:
        phones.stopping.set()
        for thread in threads:
            thread.join()
