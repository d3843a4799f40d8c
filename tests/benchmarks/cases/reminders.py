"""The reminder job over 100,000 documents, beside one plain INSERT … SELECT of the very rows that it owes."""

import time
from collections.abc import Iterator
from dataclasses import dataclass

import psycopg

from tests.benchmarks.bench import Bench
from tests.benchmarks.figures import Figure

DOCUMENTS_AT_MOST = 100_000
KINDS = ["registration", "lease", "title", "apportioned_cab_card"]
AT_LEAST = 0.05
MOST_KB = 200 * 1024

UNITS = """
    INSERT INTO fleet_unit (id, version, kind, number, owner, vin, serial, make, tire_size, plate, plate_state,
                            recorded_at, home_site_id)
    SELECT gen_random_uuid(), 1, 'cooling_unit', 'CU-X' || n, '', '', '', '', '', '', '', now(),
           (SELECT id FROM fleet_site ORDER BY code LIMIT 1)
      FROM generate_series(1, %s) AS n
"""
DOCUMENTS = """
    INSERT INTO fleet_document (id, version, kind, number, issuer, state, starts_on, ends_on, program, inspector,
                                evidence_held_by, inspector_unproven,
                                scan_record_kind, recorded_at, unit_id, recorded_by_id)
    SELECT gen_random_uuid(), 1, wanted.kind, '', '', '', current_date - 800,
           current_date - 300 + (random() * 350)::int, '', '', '', false, '', now(),
           unit.id, (SELECT id FROM fleet_person LIMIT 1)
      FROM fleet_unit AS unit, unnest(%s::text[]) AS wanted (kind)
     WHERE unit.number LIKE 'CU-X%%'
"""
"""Every one of them owes a step: they end from 300 days ago to 50 days ahead."""


@dataclass(frozen=True)
class Swept:
    """What the job said of itself."""

    owed: int
    seconds: float
    longest_run: float
    most_kb: int


def measure(bench: Bench) -> Iterator[Figure]:
    """Yield both; each paper owes one notice to one person, and a second sweep owes none. Over 200 MB ends the run."""
    documents = bench.rows(DOCUMENTS_AT_MOST) // len(KINDS) * len(KINDS)
    with psycopg.connect(bench.owner.url(), autocommit=True) as connection:
        connection.execute(UNITS, [documents // len(KINDS)])
        connection.execute(DOCUMENTS, [KINDS])
        connection.execute("VACUUM ANALYZE")
        swept, again = _job(bench), _job(bench)
        row = connection.execute(
            "SELECT count(*), count(DISTINCT notice.subject_id) FILTER (WHERE unit.number LIKE 'CU-X%')"
            "  FROM fleet_notification AS notice LEFT JOIN fleet_unit AS unit ON unit.id = notice.unit_id"
        ).fetchone()
        if row != (swept.owed, documents) or again.owed:
            raise SystemExit(f"{documents} papers, {swept.owed} owed, {row} in the table, {again.owed} owed again")
        if swept.most_kb > MOST_KB:
            raise SystemExit(f"the sweep took {swept.most_kb} kB, more than {MOST_KB}")
        plain = Figure("the same rows, INSERT … SELECT", swept.owed / _plainly(connection))
    yield plain
    yield Figure(
        f"reminder sweep over {documents:,} papers",
        swept.owed / swept.seconds,
        plain,
        f"longest run {swept.longest_run:.1f} s, {swept.most_kb / 1024:.0f} MB",
        AT_LEAST,
    )
    yield Figure("the sweep again, nothing owed", documents / again.seconds, note=f"{again.seconds:.1f} s")


def _job(bench: Bench) -> Swept:
    said = bench.run("manage.py", "shell", "-c", "from tests.benchmarks.reminder_run import run; run()")
    owed, seconds, longest, most_kb = said.partition("MEASURED ")[2].split()
    return Swept(int(owed), float(seconds), float(longest), int(most_kb))


def _plainly(connection: psycopg.Connection) -> float:
    """Seconds for the same rows into the same table, empty as it was."""
    connection.execute("CREATE TABLE kept AS SELECT * FROM fleet_notification")
    connection.execute("TRUNCATE fleet_notification CASCADE")
    connection.execute("VACUUM ANALYZE kept")
    begun = time.perf_counter()
    connection.execute("INSERT INTO fleet_notification SELECT * FROM kept")
    return time.perf_counter() - begun
