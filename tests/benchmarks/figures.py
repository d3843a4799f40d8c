"""One measured line, what it is compared with, and how requests are timed; knows nothing of what is measured."""

import json
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from http.client import HTTPConnection
from itertools import count
from typing import Any

CLIENTS = 4
_NUMBERS = count(1)

Request = tuple[str, str, dict[str, Any] | None, int]
"""Method, path, body, expected status."""


@dataclass(frozen=True)
class Figure:
    """A rate, the plain rate it stands beside, and the least share of it that is asked for, if any."""

    name: str
    per_second: float
    plain: "Figure | None" = None
    note: str = ""
    at_least: float | None = None

    @property
    def share(self) -> float:
        """What part of the plain rate this is; 1 for a plain one."""
        return 1.0 if self.plain is None else self.per_second / self.plain.per_second

    def __str__(self) -> str:
        """The line as it is printed."""
        met = self.at_least is None or self.share >= self.at_least
        wanted = "" if self.at_least is None else f" (wanted {self.at_least:.2f}{'' if met else ', NOT met'})"
        beside = "" if self.plain is None else f"{self.share:6.2f} of {self.plain.name}{wanted}"
        return f"{self.name:<44}{self.per_second:11,.1f}/s {beside}   {self.note}".rstrip()


def timed(address: str, token: str, requests: int, make: Callable[[], Request]) -> list[float]:
    """Seconds of each request, from several clients at once; a status other than expected ends the run."""
    host, port = address.removeprefix("http://").split(":")
    headers = {"Authorization": f"Bearer {token}", "Content-Type": "application/json"}

    def work(share: int) -> list[float]:
        line, taken = HTTPConnection(host, int(port), timeout=60), []
        for _ in range(share):
            method, path, body, expected = make()
            key = {"Idempotency-Key": f'"{next(_NUMBERS)}-{time.time_ns()}"'} if method == "POST" else {}
            begun = time.perf_counter()
            line.request(method, path, None if body is None else json.dumps(body), {**headers, **key})
            answer = line.getresponse()
            content = answer.read()
            taken.append(time.perf_counter() - begun)
            if answer.status != expected:
                raise SystemExit(f"{method} {path}: {answer.status}\n{content[:2000]!r}")
        line.close()
        return taken

    with ThreadPoolExecutor(CLIENTS) as pool:
        return [second for share in pool.map(work, [requests // CLIENTS] * CLIENTS) for second in share]
