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
from fleet.models import Unit
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
        "defects_walkaround",
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


def plan(text: str, given: Any, *dear: str) -> str:
    """How a prepared statement runs where nothing is as dear to the planner as what is named."""
    with connection.cursor() as cursor:
        for setting in ("plan_cache_mode = force_generic_plan", *(f"enable_{each} = off" for each in dear)):
            cursor.execute(f"SET LOCAL {setting}")
        cursor.execute(f"EXPLAIN {text}", given)
        return "\n".join(line for (line,) in cursor.fetchall())


def read_through(statement: Compiled, **given: Any) -> set[str]:
    """The tables that a statement reads row by row although nothing else is as dear to the planner."""
    return set(re.findall(r"Seq Scan on (\w+)", plan(statement.sql, given, "seqscan")))


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


def test_what_stands_with_units_of_the_yard__found_by_keys_and_joined_to_no_table(db: None) -> None:
    given = {"units": [uuid.uuid4()], "now": dt.datetime(2026, 1, 1, tzinfo=dt.UTC)}

    assert not read_through(combinations_statement(), **given) & GROWING
    assert not re.search("Join|Nested Loop", plan(combinations_statement().sql, given))


def test_page_of_units__read_in_its_order(db: None) -> None:
    text, values = Unit.objects.filter(retired_on=None).order_by("number", "pk")[:101].query.sql_with_params()

    assert "Sort" not in plan(text, values, "seqscan", "sort")


def test_units_of_a_trip__found_by_keys(db: None) -> None:
    at = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)

    assert not read_through(named_statement(), keys=[uuid.uuid4()], numbers=["NL-15"], at=at) & GROWING


def test_units_of_a_walk__found_by_keys(db: None) -> None:
    now = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)

    assert not read_through(units_statement(), keys=[uuid.uuid4()], numbers=["NL-15"], now=now) & GROWING


def test_locks_of_a_walk_around__found_by_keys(db: None) -> None:
    at = dt.datetime(2026, 1, 1, tzinfo=dt.UTC)

    assert not read_through(locking_statement(all_beside), units=[uuid.uuid4()], at=at) & GROWING
