"""What dispatch asks: may these units roll, and one page of the yard."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

from tests.benchmarks.bench import Bench
from tests.benchmarks.figures import Figure

UNITS = ["NL-15", "LR-45"]


def measure(bench: Bench) -> Iterator[Figure]:
    """Yield the floor, a clearance of three units (one is mounted) and the yard's first page."""
    cal = bench.signed_in("cal")
    arrival = (datetime.now(UTC) + timedelta(hours=9)).isoformat()  # noqa: TID251 - a desk's clock
    asked = {"units": UNITS, "arrival": arrival}

    yield bench.floor
    yield bench.rate(
        "clearance of three units",
        cal,
        lambda: ("POST", "/api/v1/clearances", asked, 201),
        adds={"defects_clearance": 1},
        plain=bench.floor,
    )
    units = len(cal.call("GET", "/api/v1/yard").body["results"])
    yield bench.rate(
        f"page of the yard, {units} units",
        cal,
        lambda: ("GET", "/api/v1/yard", None, 200),
        adds={"defects_clearance": 0},
        plain=bench.floor,
    )
