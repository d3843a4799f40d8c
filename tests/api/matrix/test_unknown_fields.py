"""A member that nobody knows is refused by every operation that reads JSON, before it looks for what it names."""

import pytest

from tests.api.matrix.table import TABLE, roles_named
from tests.factories.fleet import caller, make_carrier
from tests.support.api import Caller
from tests.support.routes import Operation, operations

FILES = {
    "POST /imports/axles",
    "POST /imports/documents",
    "POST /imports/meter-readings",
    "POST /imports/people",
    "POST /imports/units",
    "PUT /defects/{ref}/photos/{sha256}",
    "PUT /documents/{key}/file",
    "PUT /walkarounds/{key}/photos/{sha256}",
}
"""What comes there is a file: a JSON body is refused as a whole."""
WRITING = [operation for operation in operations() if operation.method in {"POST", "PUT", "PATCH"}]


@pytest.mark.django_db
@pytest.mark.parametrize("operation", WRITING, ids=lambda operation: operation.name)
def test_member_that_nobody_knows__refused_at_its_place(operation: Operation) -> None:
    make_carrier()
    roles = TABLE["operations"][operation.name]
    asking = Caller() if roles == "anonymous" else caller(min(roles_named(roles)))

    answer = asking.send(operation.method, operation.path, {"no_such_field": 1}, key="once", if_match='"1"')

    refused = [(error["pointer"], error["code"]) for error in answer.json()["errors"]]
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert (("/no_such_field", "unknown_field") in refused) == (operation.name not in FILES), answer.json()
