"""Every list: as many statements for 20 rows as for 2, pages that meet, and no parameter that it does not know."""

from collections.abc import Callable

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from fleet.enums import Role
from tests.api.matrix import rows_defects, rows_fleet
from tests.factories.fleet import make_carrier
from tests.support.acting import Device, acting_as, codes
from tests.support.routes import operations

FILL: dict[str, Callable[[int], None]] = {**rows_fleet.FILL, **rows_defects.FILL}
LISTS = {operation.name: operation for operation in operations() if operation.action == "list"}
FLEET = sorted(name for name, operation in LISTS.items() if operation.view.__module__.startswith("fleet."))
PATHS = {name: LISTS[name].path_to("NL-11") for name in FILL}
EVERYTHING = (Role.ADMINISTRATOR, Role.AUDITOR)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("media")]


@pytest.fixture
def service_request() -> Device:
    make_carrier()
    return acting_as(*EVERYTHING, name="Zed Audit")


def statements(service_request: Device, path: str) -> int:
    with CaptureQueriesContext(connection) as captured:
        assert service_request.get(path, limit="200").status_code == 200
    return len(captured)


def test_every_list_of_fleet__has_a_way_to_fill_it() -> None:
    assert [name for name in FLEET if name not in FILL] == []


@pytest.mark.parametrize("name", sorted(FILL))
def test_list__takes_as_many_statements_for_20_rows_as_for_2(name: str, service_request: Device) -> None:
    FILL[name](2)
    few = statements(service_request, PATHS[name])
    FILL[name](18)
    assert len(service_request.get(PATHS[name], limit="200").json()["results"]) >= 20
    assert statements(service_request, PATHS[name]) == few
    assert few <= 5


@pytest.mark.parametrize("name", sorted(FILL))
def test_pages__meet_without_a_gap_or_a_row_twice(name: str, service_request: Device) -> None:
    FILL[name](5)
    whole = [row["id"] for row in service_request.get(PATHS[name]).json()["results"]]
    assert len(whole) == len(set(whole)) >= 5
    page = service_request.get(PATHS[name], limit="2").json()
    found = [row["id"] for row in page["results"]]
    while page["next"]:
        page = service_request.get(page["next"]).json()
        found += [row["id"] for row in page["results"]]
    assert found == whole


@pytest.mark.parametrize("name", sorted(FILL))
def test_parameter_that_is_not_known_or_not_sound__is_refused(name: str, service_request: Device) -> None:
    FILL[name](1)
    unknown = service_request.get(PATHS[name], colour="red")
    assert (unknown.status_code, unknown.json()["code"]) == (400, "unknown_parameter")
    for parameter in sorted(LISTS[name].view.filterset_class.base_filters):  # type: ignore[attr-defined]
        empty = service_request.get(PATHS[name], **{parameter: ""})
        assert (empty.status_code, codes(empty)) == (400, [(parameter, "blank")]), parameter


def test_value_that_is_none_of_a_filters_own__is_refused(service_request: Device) -> None:
    refused = {
        "tractors": {"ours": "yes", "open": "1"},
        "units": {"kind": "bus"},
        "couplings": {"open": "TRUE", "unit": "a@b@c"},
        "meter-readings": {"meter": "odometer", "state": "fine", "since": "yesterday"},
        "qualifications": {"person": "ada", "on": "2026-13-01"},
        "documents": {"open": "no", "ends_by": "soon"},
    }
    for path, query in refused.items():
        for parameter, value in query.items():
            answer = service_request.get(path, **{parameter: value})
            assert (answer.status_code, answer.json()["code"]) == (400, "invalid_parameter"), (path, parameter)
            assert [place for place, _ in codes(answer)] == [parameter]
