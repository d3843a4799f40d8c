"""How many statements a walk-around costs, from token to answer: few, and the same however much it brings."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from defects.rules.catalogue import load_catalogue
from tests.support.walks import UNITS, body, check, client, put

BUDGET = 30
NOT_COUNTED = ("BEGIN", "COMMIT", "SAVEPOINT", "RELEASE SAVEPOINT", "ROLLBACK")


def statements(device: Any, walk: dict[str, Any]) -> list[str]:
    with CaptureQueriesContext(connection) as captured:
        put(device, walk)
    return [row["sql"] for row in captured if not row["sql"].startswith(NOT_COUNTED)]


def findings(count: int) -> list[dict[str, Any]]:
    points = [point.name for point in load_catalogue().for_unit_kind("trailer") if point.places == ()]
    chosen = [name for name in points if load_catalogue().points[name].place_type == "unit"][: count - 2]
    grave = [check("tires.trailer.body", place, "defect") for place in ("axle-1-left-outer", "axle-1-right-outer")]
    return [check(name, "", "defect") for name in chosen] + grave


@pytest.fixture
def warm(ninefold: datetime) -> tuple[Any, datetime]:
    """A driver whose units run together already and whose catalogue is stored."""
    device = client("iris")
    put(device, body([{"unit": unit} for unit in UNITS], finished_at=ninefold, coupled=True))
    return device, ninefold + timedelta(seconds=1)


@pytest.mark.parametrize("count", [2, 20])
def test_findings__within_budget(warm: tuple[Any, datetime], count: int) -> None:
    device, now = warm
    reports = [{"unit": UNITS[0], "meters": [{"meter": "odometer_mi", "shown": "245010"}]}, {"unit": UNITS[1], "checks": findings(count)}, {"unit": UNITS[2]}]
    seen = statements(device, body(reports, finished_at=now, coupled=True))
    print("\n".join(s[:110] for s in seen))
    assert len(seen) <= BUDGET
