"""Senders that write down what left instead of sending it, or fail as they are told."""

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from fleet.services.notifications.composing import Mail


@dataclass
class Outbox:
    """Takes letters; `fails` says what to raise for one, `takes_s` how long each takes."""

    fails: Callable[[Mail], BaseException | None] = lambda _: None
    takes_s: float = 0.0
    sent: list[Mail] = field(default_factory=list)
    closed: int = 0
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def send(self, mail: Mail) -> None:
        why = self.fails(mail)
        if why is not None:
            raise why
        time.sleep(self.takes_s)
        with self._lock:
            self.sent.append(mail)

    def close(self) -> None:
        self.closed += 1

    @property
    def message_ids(self) -> list[str]:
        return [mail.message_id for mail in self.sent]
