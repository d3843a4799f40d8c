"""What dispatch asks: may these units roll, and one page of the yard."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

from tests.benchmarks.bench import Bench
from tests.benchmarks.figures import Cost, Request

UNITS = ["NL-15", "LR-45"]


def measure(bench: Bench) -> Iterator[Cost]:
    """Yield the floor, a clearance of three units (one is mounted) and the yard's first page."""
    cal = bench.signed_in("cal")
    arrival = (datetime.now(UTC) + timedelta(hours=9)).isoformat()  # noqa: TID251 - a desk's clock
    asked = {"units": UNITS, "arrival": arrival}
    units = len(cal.call("GET", "/api/v1/yard").body["results"])
    yield from bench.costs(
        bench.floor,
        bench.case(
            "clearance of three units",
            cal,
            lambda: Request("POST", "/api/v1/clearances", asked, 201),
            adds={"defects_clearance": 1},
            most={"floor": 1.5},
        ),
        bench.case(
            f"page of the yard, {units} units", cal, lambda: Request("GET", "/api/v1/yard"), most={"floor": 2.0}
        ),
    )
