"""Ten thousand rows of each table taken in, all or nothing: within 30 s and 300 MB, which end the run otherwise."""

import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

from common.tables.writing import csv_chunks
from tests.benchmarks.bench import Bench
from tests.benchmarks.figures import Figure

ROWS = 10_000
MOST_SECONDS = 30
MOST_KB = 300 * 1024

FIRST = datetime(2026, 1, 1, tzinfo=UTC)
TABLES: Mapping[str, Callable[[int], Mapping[str, object]]] = {
    "units": lambda n: {
        "kind": "tractor",
        "number": f"B-{n}",
        "plate": f"{n:07}",
        "make": "M",
        "fuel_tank_gal": "120.0",
    },
    "documents": lambda n: {
        "kind": "registration",
        "unit": f"B-{n}",
        "number": f"{n:07}",
        "starts_on": "2026-01-01",
        "ends_on": "2027-01-01",
    },
    "people": lambda n: {"name": f"Person {n}", "username": f"person-{n}", "language": "en"},
    "meter-readings": lambda n: {
        "unit": f"B-{n % 200}",
        "meter": "odometer_mi",
        "shown": str(1000 + n // 200 * 10),
        "read_at": (FIRST + timedelta(hours=n // 200)).isoformat(),
    },
}


def measure(bench: Bench) -> Iterator[Figure]:
    """Yield rows a second of each table, and of the same units with another plate."""
    count = bench.rows(ROWS)
    for table, row in TABLES.items():
        yield _taken(bench, table, table, [row(n) for n in range(count)], (count, 0))
    changed = [{**TABLES["units"](n), "plate": f"X{n}"} for n in range(count)]
    yield _taken(bench, "units changed", "units", changed, (0, count))


def _taken(
    bench: Bench, name: str, table: str, rows: Sequence[Mapping[str, object]], expected: tuple[int, int]
) -> Figure:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / f"{table}.csv"
        file.write_bytes(b"".join(csv_chunks(list(rows[0]), [list(row.values()) for row in rows])))
        created, changed, seconds, most = bench.run("-m", "tests.benchmarks.import_run", table, str(file)).split()[-4:]
    if (int(created), int(changed)) != expected:
        raise SystemExit(f"{name}: {created} created, {changed} changed, expected {expected}")
    if float(seconds) > MOST_SECONDS or int(most) > MOST_KB:
        raise SystemExit(f"{name}: {float(seconds):.1f} s and {int(most)} KB for {len(rows)} rows")
    return Figure(name, len(rows) / float(seconds), note=f"{float(seconds):.1f} s, {int(most) // 1024} MB")
