"""How many statements an answer costs, from the token to the stored response: few, and as many for a large yard."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from tests.factories.fleet import HOUR, NOON
from tests.support.acting import Device, acting_as
from tests.support.dock import Dock
from tests.support.large_yard import fill_yard

CLEARANCE_REQUEST = 8
YARD = 4
NOT_COUNTED = ("BEGIN", "COMMIT", "SAVEPOINT", "RELEASE SAVEPOINT", "ROLLBACK")
ARRIVAL = (NOON + 30 * HOUR).isoformat()


@pytest.fixture
def dock(dock: Dock) -> Dock:
    dock.put(dock.load("L-1", seal="S-1"))
    dock.cold_fault()
    dock.now = NOON
    return dock


def statements(captured: CaptureQueriesContext) -> list[str]:
    return [row["sql"] for row in captured if not row["sql"].startswith(NOT_COUNTED)]


def seen_by(caller: Device, path: str, body: dict[str, object] | None = None, **query: str) -> list[str]:
    with CaptureQueriesContext(connection) as captured:
        answer = caller.get(path, **query) if body is None else caller.post(path, body)
        assert answer.status_code in {200, 201}, answer.content
    return statements(captured)


def test_clearance_request__at_most_eight_statements_with_sign_in_and_response(dock: Dock) -> None:
    cal = acting_as(dock["cal"])
    bare = seen_by(cal, "clearances", {"units": ["NL-13", "LR-46"], "arrival": ARRIVAL})
    whole = seen_by(
        cal,
        "clearances",
        {"units": ["NL-13", "LR-46"], "arrival": ARRIVAL, "load": "L-1", "driver": str(dock["sol"].pk), "miles": "400"},
    )
    assert len(whole) <= CLEARANCE_REQUEST, "\n".join(sql[:90] for sql in whole)
    assert len(bare) == len(whole)


@pytest.mark.parametrize("count", [20, 400, pytest.param(2000, marks=pytest.mark.drill)])
def test_yard__as_many_statements_however_many_units_a_third_of_them_barred(dock: Dock, count: int) -> None:
    cal = acting_as(dock["cal"])
    fill_yard(count, dock["hob"])
    seen = seen_by(cal, "yard", limit="200")
    assert len(seen) == YARD, "\n".join(sql[:90] for sql in seen)


def test_yard_of_one_unit__its_companions_cost_nothing_more(dock: Dock) -> None:
    cal = acting_as(dock["cal"])
    assert len(seen_by(cal, "yard", unit="CU-46")) == YARD + 1  # finding the unit that is named
