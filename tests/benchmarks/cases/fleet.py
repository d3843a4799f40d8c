"""The yard of a large fleet beside that of a small one: what a page and a clearance cost must not grow with it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

import psycopg

from tests.benchmarks.bench import Bench, Case
from tests.benchmarks.figures import Cost, Figure, Request

SMALL, LARGE = 300, 99_900
WEIGHED = 9_900
PAGE = 100
"""All cooling units, each in a combination of its own, in the small fleet as in the large one."""
MOST_GROWTH = 1.2


@dataclass(frozen=True)
class Weighed:
    """What one evaluation of the whole fleet took, and what it answered."""

    read_s: float
    weigh_s: float
    units: int
    barred: int
    peak_kb: int


def measure(bench: Bench) -> Iterator[Cost | Figure]:
    """Yield the pure rules, the evaluation of many units with its reading, and page and clearance in both fleets.

    Ends the run unless every unit is answered for and a third of them, those with faults, are barred.
    """
    with bench.beside("small_fleet") as small:
        small_cases = _cases(small, SMALL)
        large = max(SMALL, bench.rows(LARGE) // SMALL * SMALL)
        large_cases = _cases(bench, large)
        yield from _evaluation(bench, min(WEIGHED, large))
        yield from bench.costs(*(case for pair in zip(small_cases, large_cases, strict=True) for case in pair))


def _cases(bench: Bench, units: int) -> list[Case]:
    """A page and a clearance in a fleet of so many units, which is filled here; in a larger one beside the small."""
    _shell(bench, f"fill({units})")
    with psycopg.connect(bench.owner.url(), autocommit=True) as connection:
        connection.execute("VACUUM ANALYZE")
    cal = bench.signed_in("cal")
    path = f"/api/v1/yard?limit={PAGE}"
    if (page := len(cal.call("GET", path).body["results"])) != PAGE:
        raise SystemExit(f"a page of {page} units, not of {PAGE}")
    arrival = (datetime.now(UTC) + timedelta(hours=9)).isoformat()  # noqa: TID251 - a desk's clock
    asked = {"units": ["BT-1", "BR-1"], "arrival": arrival}

    def growth(name: str) -> dict[str, float | None]:
        return {} if units == SMALL else {f"{name}, {SMALL:,}": MOST_GROWTH}

    clearance, page_of = "clearance in a fleet", f"page of {PAGE} units"
    return [
        bench.case(
            f"{clearance}, {units:,}",
            cal,
            lambda: Request("POST", "/api/v1/clearances", asked, 201),
            adds={"defects_clearance": 1},
            most=growth(clearance),
        ),
        bench.case(f"{page_of}, {units:,}", cal, lambda: Request("GET", path), most=growth(page_of)),
    ]


def _evaluation(bench: Bench, units: int) -> Iterator[Figure]:
    done = _weigh(bench, units)
    if done.units != units or not 0.3 < done.barred / units < 0.4:
        raise SystemExit(f"{units} units: {done.units} answered, {done.barred} of them barred")
    rules = Figure(f"{units:,} units, the rules alone", units / done.weigh_s, note=f"{done.weigh_s:.2f} s")
    yield rules
    seconds = done.read_s + done.weigh_s
    yield Figure(
        f"{units:,} units, read and weighed", units / seconds, rules, f"{seconds:.2f} s, {done.peak_kb / 1024:.0f} MB"
    )


def _weigh(bench: Bench, units: int) -> Weighed:
    read, weigh, answered, barred, peak = _shell(bench, f"weigh({units})").partition("MEASURED ")[2].split()
    return Weighed(float(read), float(weigh), int(answered), int(barred), int(peak))


def _shell(bench: Bench, call: str) -> str:
    return bench.run("manage.py", "shell", "-c", f"from tests.benchmarks.fleet_run import *; {call}")
