"""What a clearance and the yard read does not grow with the fleet: no statement goes through a table of it."""

import datetime as dt
import re
import uuid

from django.db import connection

from common.compiled import Compiled
from defects.selectors.clearance.rows import fact_statement

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
    }
)


def read_through(statement: Compiled, **given: object) -> set[str]:
    """The tables that a statement reads row by row although nothing else is as dear to the planner."""
    with connection.cursor() as cursor:
        cursor.execute("SET LOCAL enable_seqscan = off")
        cursor.execute("SET LOCAL plan_cache_mode = force_generic_plan")
    return set(re.findall(r"Seq Scan on (\w+)", statement.plan(**given)))


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
