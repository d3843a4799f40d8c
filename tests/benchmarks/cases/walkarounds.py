"""The walk-around of three units: nothing found, twenty findings, and the same sent again."""

import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from itertools import cycle
from typing import Any

from fixtures.scenario.client import uuid7
from fixtures.scenario.walking import whole_walk
from tests.benchmarks.bench import Bench
from tests.benchmarks.figures import CLIENTS, Figure, Request

COMBINATIONS = [(f"NL-1{number}", f"LR-4{number}", f"CU-4{number}") for number in range(1, CLIENTS + 1)]
"""As many as clients: drivers do not walk round the same units at once, and those who do wait for each other."""
CHECKS = 20
"""Faults on the trailer, where it has any."""


def signed(reports: list[dict[str, Any]]) -> dict[str, Any]:
    """A walk-around as a phone sends it, finished now."""
    at = datetime.now(UTC)  # noqa: TID251 - a phone's clock
    return {
        "kind": "pre_trip",
        "started_at": (at - timedelta(minutes=20)).isoformat(),
        "finished_at": at.isoformat(),
        "coupled": True,
        "reports": reports,
        "signature": {"method": "drawn", "signed_at": at.isoformat(), "shown": "I sign."},
    }


def path() -> str:
    """The address of a walk-around that was never sent."""
    return f"/api/v1/walkarounds/{uuid7(time.time_ns() // 1_000_000)}"


def measure(bench: Bench) -> Iterator[Figure]:
    """Yield the floor and the three figures; every answer is checked, every report counted."""
    iris = bench.signed_in("iris")
    nothing, found = [], []
    for tractor, trailer, _cooling_unit in COMBINATIONS:
        walk_list = iris.call("GET", f"/api/v1/walk?tractor={tractor}&trailer={trailer}")
        at = datetime.now(UTC).isoformat()  # noqa: TID251 - a phone's clock
        defects = [
            {"point": stop["point"], "place": place["place"], "answer": "defect"}
            for stop in walk_list["stops"]
            if stop["unit"] == trailer and stop["measure"] is None
            for place in stop["places"]
        ]
        nothing.append(whole_walk(walk_list.body, at))
        found.append(whole_walk(walk_list.body, at, {trailer: defects[:CHECKS]}))
    answers = sum(len(report["checks"]) for report in nothing[0])
    once = (path(), signed(nothing[0]))
    iris.call("PUT", once[0], once[1], expect=201)
    stored = {"defects_walkaround": 1, "defects_report": 3}

    def walk(reports: Iterator[list[dict[str, Any]]]) -> Request:
        return "PUT", path(), signed(next(reports)), 201

    sound, faulty = cycle(nothing), cycle(found)
    yield bench.floor
    yield bench.rate(
        f"walk-around, 3 units, {answers} answers",
        iris,
        lambda: walk(sound),
        adds=stored | {"defects_sighting": 0},
        plain=bench.floor,
    )
    yield bench.rate(
        f"the same with {CHECKS} findings",
        iris,
        lambda: walk(faulty),
        adds=stored | {"defects_sighting": CHECKS},
        plain=bench.floor,
    )
    yield bench.rate(
        "the same sent again",
        iris,
        lambda: ("PUT", *once, 200),
        adds=dict.fromkeys(stored, 0),
        plain=bench.floor,
    )
