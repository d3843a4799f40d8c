"""The walk-around of three units: nothing found, twenty findings, sent again; and the unchanged walk list.

Beside the first stands the peer, which is sent the very same bodies; each of its rows is counted like ours.
"""

import json
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import UTC, datetime, timedelta
from itertools import cycle
from typing import Any

from fixtures.scenario.client import uuid7
from fixtures.scenario.walking import places_of, whole_walk
from tests.benchmarks.bench import Bench, Case
from tests.benchmarks.figures import CLIENTS, Cost, Request

COMBINATIONS = [(f"NL-1{number}", f"LR-4{number}") for number in range(1, CLIENTS + 1)]
"""As many as clients: drivers do not walk round the same units at once, and those who do wait for each other."""
ANSWERS = 52
"""Answers in the three reports: those that are given one by one, and as many on the legs as lack."""
IN_TURN = [
    {"point": "engine.exhaust-fluid", "place": "", "answer": "fine", "value": "55", "unit_of_measure": "percent"},
    {"point": "air.lines.clearance", "place": "", "answer": "fine", "value": "40", "unit_of_measure": "in"},
]
"""Measured in turn on the tractor, the same on every day, so that each run stores as many values as another."""
FINDINGS = 20
"""Faults on the trailer, where it has any."""
ADDS = {"walkaround": 1, "report": 3, "measurement": 11}


def signed(walk_list: Mapping[str, Any], reports: list[dict[str, Any]]) -> dict[str, Any]:
    """A walk-around as a phone sends it that walked by this list, finished now."""
    at = datetime.now(UTC)  # noqa: TID251 - a phone's clock
    looked = (at - timedelta(minutes=1)).isoformat()
    return {
        "kind": "pre_trip",
        "started_at": (at - timedelta(minutes=20)).isoformat(),
        "finished_at": at.isoformat(),
        "catalogue": walk_list["catalogue"],
        "coupled": True,
        "form": walk_list["form"],
        "reports": [
            {**report, "looked_at": [{"leg": look["leg"], "at": looked} for look in report["looked_at"]]}
            for report in reports
        ],
        "signature": {"method": "drawn", "signed_at": at.isoformat(), "shown": walk_list["to_sign"]},
    }


def key() -> str:
    """The name of a walk-around that was never sent."""
    return str(uuid7(time.time_ns() // 1_000_000))


def sound(walk_list: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Reports on which all is well, with so many answers."""
    walk_list = _without_turns(walk_list)
    tractor = walk_list["units"][0]["number"]
    by_leg = [
        (point["unit"], {"point": point["point"], "place": place["place"], "answer": "fine"})
        for point, place in places_of(walk_list)
        if "often" not in point and "measure" not in point and place["answered_by"] == "leg"
    ]
    lacking = ANSWERS - sum(len(report["checks"]) for report in whole_walk(walk_list, "", {tractor: IN_TURN}))
    by_unit = _by_unit(by_leg[:lacking])
    reports = whole_walk(walk_list, "", by_unit | {tractor: [*IN_TURN, *by_unit.get(tractor, ())]})
    if sum(len(report["checks"]) for report in reports) != ANSWERS:
        raise SystemExit(f"the walk list has no {ANSWERS} answers")
    return reports


def _without_turns(walk_list: Mapping[str, Any]) -> dict[str, Any]:
    """The walk list without what a day's turn adds."""
    points = walk_list["points"]
    legs = [
        {**leg, "stops": [stop for stop in leg["stops"] if points[stop["point"]].get("often") != "rotating"]}
        for leg in walk_list["legs"]
    ]
    return {**walk_list, "legs": legs}


def faulty(walk_list: Mapping[str, Any], trailer: str) -> list[dict[str, Any]]:
    """Reports with so many findings."""
    found = [
        (trailer, {"point": point["point"], "place": place["place"], "answer": "defect"})
        for point, place in places_of(walk_list)
        if point["unit"] == trailer and "measure" not in point
    ]
    return whole_walk(walk_list, "", _by_unit(found[:FINDINGS]))


def _by_unit(checks: Sequence[tuple[str, dict[str, Any]]]) -> dict[str, list[dict[str, Any]]]:
    return {unit: [check for of, check in checks if of == unit] for unit, _ in checks}


def measure(bench: Bench) -> Iterator[Cost]:
    """Yield the floor, the peer and the cases; every answer is checked, every row counted."""
    iris = bench.signed_in("iris")
    lists = [iris.call("GET", _walk(*pair)) for pair in COMBINATIONS]
    nothing = [sound(walk_list.body) for walk_list in lists]
    found = [faulty(walk_list.body, pair[1]) for walk_list, pair in zip(lists, COMBINATIONS, strict=True)]
    full = [iris.call("GET", f"{_walk(*pair)}&form=full").body for pair in COMBINATIONS]
    peer, authorization = bench.peer(json.dumps(full))

    def walks(prefix: str, reports: list[list[dict[str, Any]]]) -> Callable[[], Request]:
        turn = cycle(reports)
        return lambda: Request("PUT", f"{prefix}{key()}", signed(lists[0].body, next(turn)), 201)

    once = Request("PUT", f"/api/v1/walkarounds/{key()}", signed(lists[0].body, nothing[0]))
    receipt = iris.call("PUT", once.path, once.body, expect=201)
    if receipt["flags"] or any(unit["flags"] or unit["looks"]["without_answer"] for unit in receipt["units"]):
        raise SystemExit(f"not all of the walk-around was used as sent: {receipt.body}")
    unchanged = Request("GET", _walk("NL-15", "LR-45"), expected=304)
    etag = iris.call("GET", unchanged.path).headers["etag"]
    ours = {f"defects_{table}": rows for table, rows in ADDS.items()} | {"fleet_signature": 1, "fleet_historyentry": 3}
    ours["fleet_coolingreading"] = 1  # which the peer knows nothing of
    theirs = {f"peer_{table}": rows for table, rows in ADDS.items()} | {"peer_signature": 1, "peer_history": 3}
    yield from bench.costs(
        bench.floor,
        Case("peer", peer, authorization, walks("/walkarounds/", nothing), theirs, {"floor": None}),
        bench.case(
            f"walk-around, 3 units, {ANSWERS} answers",
            iris,
            walks("/api/v1/walkarounds/", nothing),
            adds=ours | {"defects_sighting": 0},
            most={"floor": 2.5, "peer": 0.5},
        ),
        bench.case("the same sent again", iris, lambda: once, most={"floor": 1.2}),
        bench.case(
            "unchanged walk list",
            iris,
            lambda: Request("GET", unchanged.path, None, 304, {"If-None-Match": etag}),
            most={"floor": 0.5},
        ),
    )
    # Apart, since they leave holds behind.
    yield from bench.costs(
        bench.case(
            f"walk-around with {FINDINGS} findings",
            iris,
            walks("/api/v1/walkarounds/", found),
            adds={"defects_walkaround": 1, "defects_report": 3, "defects_sighting": FINDINGS},
        )
    )


def _walk(tractor: str, trailer: str) -> str:
    return f"/api/v1/walk?tractor={tractor}&trailer={trailer}"
