"""What answers dispatch and lists a walk does not grow with the fleet: no statement goes through a table of it."""

import datetime as dt
import re
import uuid
from typing import Any

from django.db import connection

from common.compiled import Compiled
from defects.selectors.clearance.snapshot import fact_statement
from defects.selectors.clearance.yard import combinations_statement
from defects.selectors.walkarounds.walk import units_statement
from fleet.selectors.units.combinations import all_beside, named_statement
from fleet.services.records.unit_of_work import locking_statement

GROWING = frozenset(
    {
        "defects_defect",
        "defects_hold",
        "defects_load",
        "defects_loadatrisk",
        "defects_measurement",
        "defects_report",
        "fleet_axle",
        "fleet_couplingmember",
        "fleet_document",
        "fleet_meterreading",
        "fleet_mounting",
        "fleet_person",
        "fleet_personrole",
        "fleet_unit",
        "fleet_unitchain",
    }
)


def read_through(statement: Compiled, **given: Any) -> set[str]:
    """The tables that a statement reads row by row although nothing else is as dear to the planner."""
    with connection.cursor() as cursor:
        cursor.execute("SET LOCAL enable_seqscan = off")
        cursor.execute("SET LOCAL plan_cache_mode = force_generic_plan")
        cursor.execute(f"EXPLAIN {statement.sql}", given)
        return set(re.findall(r"Seq Scan on (\w+)", "\n".join(line for (line,) in cursor.fetchall())))


def test_facts_of_a_trip__found_by_keys(db: None) -> None:
    through = read_through(
        fact_statement(),
        units=[uuid.uuid4()],
        as_of=dt.datetime(2026, 1, 1, tzinfo=dt.UTC),
        people=[uuid.uuid4()],
        name="iris",
        loads=["L-1"],
    )

    assert not through & GROWING


def test_what_stands_with_units_of_the_yard__found_by_keys(db: None) -> None:
    through = read_through(combinations_statement(), units=[uuid.uuid4()], now=dt.datetime(2026, 1, 1, tzinfo=dt.UTC))

    assert not through & GROWING


def test_units_of_a_trip__found_by_keys(db: None) -> None:
    at = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)

    assert not read_through(named_statement(), keys=[uuid.uuid4()], numbers=["NL-15"], at=at) & GROWING


def test_units_of_a_walk__found_by_keys(db: None) -> None:
    now = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)

    assert not read_through(units_statement(), keys=[uuid.uuid4()], numbers=["NL-15"], now=now) & GROWING


def test_locks_of_a_walk_around__found_by_keys(db: None) -> None:
    at = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)

    assert not read_through(locking_statement(all_beside), units=[uuid.uuid4()], at=at) & GROWING
