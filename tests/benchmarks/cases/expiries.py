"""The first page of the expiry list over 200,000 documents, beside a bare statement for the same question."""

import statistics
import time
from collections.abc import Callable, Iterator
from typing import Any

import psycopg

from fixtures.scenario.client import Client
from tests.benchmarks.bench import Bench
from tests.benchmarks.figures import Figure

DOCUMENTS = 200_000
CLEARANCE_REQUESTS = 20
PAGE = 50
WITHIN_DAYS = 30

FILL = """
WITH vera AS (SELECT id FROM fleet_person WHERE username = 'vera'),
     yard AS (SELECT id FROM fleet_site WHERE code = 'north-yard'),
     unit AS (
    INSERT INTO fleet_unit (id, version, kind, number, owner, vin, serial, make, tire_size, plate, plate_state,
                            home_site_id, recorded_at)
    SELECT gen_random_uuid(), 1, 'trailer', 'B-' || place, '', '', '', '', '', '', '', yard.id, now()
      FROM generate_series(1, %(units)s) AS place, yard
    RETURNING id, substr(number, 3)::int AS place)
INSERT INTO fleet_document (id, version, kind, unit_id, number, issuer, state, ends_on, ends_on_month, program,
                            inspector, evidence_held_by, inspector_unproven, scan_record_kind, recorded_at,
                            recorded_by_id)
SELECT gen_random_uuid(), 1, doc.kind, unit.id, '', '', '', doc.ends_on,
       CASE WHEN doc.kind = 'periodic_inspection'
            THEN (date_trunc('month', doc.ends_on) + interval '1 month - 1 day')::date END,
       '', '', '', false, '', now(), vera.id
  FROM unit, vera, LATERAL (VALUES
       ('registration', current_date + (unit.place::bigint * 7919 %% 400)::int - 9),
       ('periodic_inspection', current_date + (unit.place::bigint * 104729 %% 380)::int - 9)) AS doc (kind, ends_on)
 WHERE NOT (doc.kind = 'registration' AND unit.place %% 500 = 0)
"""
"""Two documents for each trailer, one in forty run out, one registration in 500 missing."""

BARE = """
SELECT * FROM (
    SELECT CASE WHEN doc.ends_on < current_date THEN 0 ELSE 2 END AS rank, doc.ends_on, doc.kind, unit.number,
           doc.id
      FROM fleet_document AS doc JOIN fleet_unit AS unit ON unit.id = doc.unit_id
     WHERE doc.superseded_at IS NULL AND unit.retired_on IS NULL AND doc.ends_on <= %(until)s
     UNION ALL
    SELECT 1, NULL, needed.kind, unit.number, NULL
      FROM fleet_unit AS unit CROSS JOIN (VALUES ('registration'), ('periodic_inspection')) AS needed (kind)
     WHERE unit.retired_on IS NULL AND unit.kind IN ('tractor', 'trailer')
       AND NOT EXISTS (SELECT 1 FROM fleet_document AS doc
                        WHERE doc.unit_id = unit.id AND doc.kind = needed.kind AND doc.superseded_at IS NULL)
) AS listed
 ORDER BY rank, ends_on, kind, number
 LIMIT 50
"""
"""What ends and what is missing, asked of the same rows without roles, graces, sites, readings and words."""


def measure(bench: Bench) -> Iterator[Figure]:
    """Yield, without and with a horizon, the bare statement and the page over HTTP, one after the other."""
    documents = bench.rows(DOCUMENTS)
    wanted = 0.5 if documents >= DOCUMENTS else None  # over few rows a page costs what any request costs
    with psycopg.connect(bench.owner.url(), autocommit=True) as connection:
        connection.execute(FILL, {"units": documents // 2})
        connection.execute("VACUUM ANALYZE fleet_document, fleet_unit")
        vera = bench.signed_in("vera")
        for days in (None, WITHIN_DAYS):
            asked = "" if days is None else f"&within_days={days}"
            [until] = connection.execute("SELECT current_date + %s", [days or 100_000]).fetchone() or []
            path = f"/api/v1/expiries?limit={PAGE}{asked}"
            shown = "whole list" if days is None else f"within {days} days"
            bare_rows, bare = _each(lambda: connection.execute(BARE, {"until": until}).fetchall())  # noqa: B023
            page, over_http = _each(lambda: vera.call("GET", path).body["results"])  # noqa: B023
            _same(bare_rows, page)
            plain = Figure(f"bare statement, {shown}", 1 / bare, note=f"{documents:,} documents, {bare * 1000:.1f} ms")
            yield plain
            yield Figure(f"first page, {shown}", 1 / over_http, plain, f"{over_http * 1000:.1f} ms", wanted)
            path = _page_of_all_parts(vera, path)
            _, over_http = _each(lambda: vera.call("GET", path).body["results"])  # noqa: B023
            yield Figure(f"page in its midst, {shown}", 1 / over_http, plain, f"{over_http * 1000:.1f} ms")


def _page_of_all_parts(vera: Client, path: str) -> str:
    """The dearest page: the one on which what is missing ends and what will end begins."""
    path = path.replace(f"limit={PAGE}", "limit=200")
    while True:
        page = vera.call("GET", path).body
        if {"missing", "due"} <= {row["status"] for row in page["results"]}:
            return path
        path = page["next"].removeprefix(vera.address)


def _each(ask: Callable[[], list[Any]]) -> tuple[list[Any], float]:
    """The rows, and the median of so many clearance requests in seconds, after two to warm up."""
    ask()
    rows, taken = ask(), []
    for _ in range(CLEARANCE_REQUESTS):
        begun = time.perf_counter()
        ask()
        taken.append(time.perf_counter() - begun)
    return rows, statistics.median(taken)


def _same(bare: list[Any], page: list[Any]) -> None:
    """Both must have found the same documents; the run ends otherwise."""
    wanted = [str(row[4]) for row in bare]
    found = [row["document"] for row in page]
    if len(page) != PAGE or found != wanted:
        raise SystemExit(f"the page has other papers than the bare statement:\n{found}\n{wanted}")
