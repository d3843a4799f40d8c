"""The walk-around of three units: nothing found, twenty findings, and the same sent again."""

import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

from fixtures.scenario.client import uuid7
from fixtures.scenario.walking import everything_fine
from tests.benchmarks.bench import Bench
from tests.benchmarks.figures import Figure, Request

UNITS = ("NL-15", "LR-45", "CU-45")
CHECKS = 20
"""Answers for each unit."""


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
    walk_list = iris.call("GET", f"/api/v1/walk?tractor={UNITS[0]}&trailer={UNITS[1]}")
    fine = everything_fine(walk_list.body)
    looked_at = [check for check in fine[UNITS[1]] if "value" not in check][:CHECKS]
    answers = {unit: checks[:CHECKS] for unit, checks in fine.items()} | {UNITS[1]: looked_at}
    nothing = [{"unit": unit, "checks": answers[unit]} for unit in UNITS]
    defects = [{**check, "answer": "defect"} for check in looked_at]
    found = [{"unit": unit, "checks": defects if unit == UNITS[1] else answers[unit]} for unit in UNITS]
    once = (path(), signed(nothing))
    iris.call("PUT", once[0], once[1], expect=201)
    stored = {"defects_walkaround": 1, "defects_report": 3}

    def walk(reports: list[dict[str, Any]]) -> Request:
        return "PUT", path(), signed(reports), 201

    yield bench.floor
    yield bench.rate(
        f"walk-around, 3 units, {sum(map(len, answers.values()))} answers",
        iris,
        lambda: walk(nothing),
        adds=stored | {"defects_sighting": 0},
        plain=bench.floor,
    )
    yield bench.rate(
        f"the same with {len(defects)} findings",
        iris,
        lambda: walk(found),
        adds=stored | {"defects_sighting": len(defects)},
        plain=bench.floor,
    )
    yield bench.rate(
        "the same sent again",
        iris,
        lambda: ("PUT", *once, 200),
        adds=dict.fromkeys(stored, 0),
        plain=bench.floor,
    )
