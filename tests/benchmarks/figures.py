"""Measured lines, what they are compared with, and how requests are sent; knows nothing of what is measured."""

import json
import statistics
import time
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from http.client import HTTPConnection
from itertools import count
from typing import Any

CLIENTS = 4
_NUMBERS = count(1)


@dataclass(frozen=True)
class Request:
    """What is sent, and the status that must come back."""

    method: str
    path: str
    body: dict[str, Any] | None = None
    expected: int = 200
    headers: Mapping[str, str] = field(default_factory=dict)


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


@dataclass(frozen=True)
class Cost:
    """Processor time of one kind of request by round, in seconds, and the most it may cost of others by their name."""

    name: str
    web_s: list[float]
    database_s: list[float]
    taken_s: list[float]
    beside: Mapping["Cost", float | None] = field(default_factory=dict)

    __hash__ = object.__hash__

    @property
    def whole_s(self) -> float:
        """Web and database together, the median of the rounds."""
        return statistics.median(map(sum, zip(self.web_s, self.database_s, strict=True)))

    def __str__(self) -> str:
        """The line as it is printed."""
        web, database = (statistics.median(rounds) * 1000 for rounds in (self.web_s, self.database_s))
        taken = sorted(self.taken_s)
        slow = taken[max(0, int(len(taken) * 0.99) - 1)]
        shares = "".join(
            f"  {self.whole_s / other.whole_s:5.2f} of {other.name}{_wanted(self.whole_s / other.whole_s, most)}"
            for other, most in self.beside.items()
        )
        return (
            f"{self.name:<40}{self.whole_s * 1000:7.2f} ms (web {web:.2f}, database {database:.2f})"
            f"  p50 {statistics.median(taken) * 1000:.1f}, p99 {slow * 1000:.1f}{shares}"
        )


def _wanted(share: float, most: float | None) -> str:
    return "" if most is None else f" (wanted {most:.1f}{'' if share <= most else ', NOT met'})"


def timed(address: str, authorization: str, requests: int, make: Callable[[], Request]) -> list[float]:
    """Seconds of each request, from several clients at once; a status other than expected ends the run."""
    host, port = address.removeprefix("http://").split(":")
    headers = {"Authorization": authorization, "Content-Type": "application/json"}

    def work(share: int) -> list[float]:
        line, taken = HTTPConnection(host, int(port), timeout=60), []
        for _ in range(share):
            asked = make()
            key = {"Idempotency-Key": f'"{next(_NUMBERS)}-{time.time_ns()}"'} if asked.method == "POST" else {}
            body = None if asked.body is None else json.dumps(asked.body)
            begun = time.perf_counter()
            line.request(asked.method, asked.path, body, {**headers, **key, **asked.headers})
            answer = line.getresponse()
            content = answer.read()
            taken.append(time.perf_counter() - begun)
            if answer.status != asked.expected:
                raise SystemExit(f"{asked.method} {asked.path}: {answer.status}\n{content[:2000]!r}")
        line.close()
        return taken

    with ThreadPoolExecutor(CLIENTS) as pool:
        return [second for share in pool.map(work, [requests // CLIENTS] * CLIENTS) for second in share]
