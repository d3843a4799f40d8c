"""What nobody knows is refused by every operation, in the query and in the body, before it looks for what it names."""

import pytest

from tests.api.matrix.table import TABLE, roles_named
from tests.factories.fleet import make_carrier
from tests.support.acting import Device, acting_as
from tests.support.routes import Operation, operations

FILES = {
    "POST /imports/axles",
    "POST /imports/cooling-readings",
    "POST /imports/documents",
    "POST /imports/meter-readings",
    "POST /imports/mountings",
    "POST /imports/people",
    "POST /imports/roles",
    "POST /imports/units",
    "PUT /defects/{ref}/photos/{sha256}",
    "PUT /documents/{key}/file",
    "PUT /loads/{ref}/photos/{sha256}",
    "PUT /signing-link/photos/{sha256}",
    "PUT /walkarounds/{key}/photos/{sha256}",
}
"""What comes there is a file: a JSON body is refused as a whole."""
SIGNED_IN_THE_FIELD = {"PUT /walkarounds/{key}", "POST /driver-reviews", "POST /refusals"}
"""What a driver signed is kept, whatever stands in it: `tests/api/defects/walkarounds/test_kept.py`."""
OPERATIONS = [operation for operation in operations() if operation.name in TABLE["operations"]]
READING_JSON = [
    o for o in OPERATIONS if o.method in {"POST", "PUT", "PATCH"} and o.name not in FILES | SIGNED_IN_THE_FIELD
]


def someone_who_may(operation: Operation) -> Device:
    roles = TABLE["operations"][operation.name]
    return Device() if roles == "anonymous" else acting_as(min(roles_named(roles)))


@pytest.mark.django_db
@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda operation: operation.name)
def test_parameter_that_nobody_knows__refused_by_name(operation: Operation) -> None:
    make_carrier()
    query = {"no_such_parameter": "1"}

    answer = someone_who_may(operation).send(operation.method, operation.path, query=query, key="once", if_match='"1"')

    assert (answer.status_code, answer.json()["code"]) == (400, "unknown_parameter")
    assert answer.json()["unknown"] == ["no_such_parameter"]
    assert [error["parameter"] for error in answer.json()["errors"]] == ["no_such_parameter"]


@pytest.mark.django_db
@pytest.mark.parametrize("operation", READING_JSON, ids=lambda operation: operation.name)
def test_member_that_nobody_knows__refused_at_its_place(operation: Operation) -> None:
    make_carrier()
    body = {"no_such_field": 1}

    answer = someone_who_may(operation).send(operation.method, operation.path, body, key="once", if_match='"1"')

    assert answer.status_code == 422
    assert ("/no_such_field", "unknown_field") in [
        (error["pointer"], error["code"]) for error in answer.json()["errors"]
    ]
