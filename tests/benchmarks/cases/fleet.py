"""The yard of a large fleet: every unit weighed in one go, and one page and one clearance of it over HTTP."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import psycopg

from tests.benchmarks.bench import Bench
from tests.benchmarks.figures import Figure

UNITS = 10_000
SMALLEST = 30
PAGE = 200


@dataclass(frozen=True)
class Weighed:
    """What one evaluation of the whole fleet took, and what it answered."""

    read_s: float
    weigh_s: float
    units: int
    barred: int
    peak_kb: int


def measure(bench: Bench) -> Iterator[Figure]:
    """Yield the pure rules, the whole evaluation with its reading, and the web's figures beside the floor.

    Ends the run unless every unit is answered for and a third of them, those with faults, are barred.
    """
    units = max(SMALLEST, bench.rows(UNITS)) // 3 * 3
    _shell(bench, f"fill({units})")
    with psycopg.connect(bench.owner.url(), autocommit=True) as connection:
        connection.execute("VACUUM ANALYZE")
    done = _weigh(bench)
    if done.units != units or not 0.3 < done.barred / units < 0.4:
        raise SystemExit(f"{units} units: {done.units} answered, {done.barred} of them barred")
    rules = Figure(f"{units:,} units, the rules alone", units / done.weigh_s, note=f"{done.weigh_s:.2f} s")
    yield rules
    seconds = done.read_s + done.weigh_s
    yield Figure(
        f"{units:,} units, read and weighed", units / seconds, rules, f"{seconds:.2f} s, {done.peak_kb / 1024:.0f} MB"
    )
    cal = bench.signed_in("cal")
    arrival = (datetime.now(UTC) + timedelta(hours=9)).isoformat()  # noqa: TID251 - a desk's clock
    size = min(PAGE, units)
    page = len(cal.call("GET", f"/api/v1/yard?limit={size}").body["results"])
    if page != size:
        raise SystemExit(f"a page of {page} units, not of {size}")
    yield bench.floor
    yield bench.rate(
        f"page of {size} units of that fleet",
        cal,
        lambda: ("GET", f"/api/v1/yard?limit={size}", None, 200),
        adds={"defects_clearance": 0},
        plain=bench.floor,
    )
    yield bench.rate(
        "clearance in that fleet",
        cal,
        lambda: ("POST", "/api/v1/clearances", {"units": ["BT-1", "BR-1"], "arrival": arrival}, 201),
        adds={"defects_clearance": 1},
        plain=bench.floor,
    )


def _weigh(bench: Bench) -> Weighed:
    read, weigh, units, barred, peak = _shell(bench, "weigh()").partition("MEASURED ")[2].split()
    return Weighed(float(read), float(weigh), int(units), int(barred), int(peak))


def _shell(bench: Bench, call: str) -> str:
    return bench.run("manage.py", "shell", "-c", f"from tests.benchmarks.fleet_run import *; {call}")
