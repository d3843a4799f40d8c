"""What nobody knows is refused by every operation, in the query and in the body, before it looks for what it names."""

from collections.abc import Callable

import pytest

from common.ids import uuid7
from fleet.enums import Role
from tests.api.matrix.table import TABLE, roles_named
from tests.factories.fleet import make_carrier
from tests.support.acting import Device, acting_as, codes
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


@pytest.fixture
def may(db: None) -> Callable[[Operation], Device]:
    """Somebody of the roles that may call an operation, or a stranger where anybody may."""
    make_carrier()
    signed_in = {role: acting_as(role) for role in Role}

    def device(operation: Operation) -> Device:
        roles = TABLE["operations"][operation.name]
        return Device() if roles == "anonymous" else signed_in[min(roles_named(roles))]

    return device


def test_parameter_that_nobody_knows__refused_by_name(may: Callable[[Operation], Device]) -> None:
    wrong = []
    for operation in OPERATIONS:
        query = {"no_such_parameter": "1"}
        answer = may(operation).send(operation.method, operation.path, query=query, key=str(uuid7()), if_match='"1"')
        told = answer.status_code, answer.json()["code"], answer.json().get("unknown"), codes(answer)
        if told != (400, "unknown_parameter", ["no_such_parameter"], [("no_such_parameter", "unknown_parameter")]):
            wrong.append((operation.name, told))
    assert len(OPERATIONS) > 150
    assert wrong == []


def test_member_that_nobody_knows__refused_at_its_place(may: Callable[[Operation], Device]) -> None:
    wrong = []
    for operation in READING_JSON:
        body = {"no_such_field": 1}
        answer = may(operation).send(operation.method, operation.path, body, key=str(uuid7()), if_match='"1"')
        if answer.status_code != 422 or ("/no_such_field", "unknown_field") not in codes(answer):
            wrong.append((operation.name, answer.status_code, answer.content))
    assert len(READING_JSON) > 60
    assert wrong == []
