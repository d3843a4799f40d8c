"""Every operation x every role, a person without a role, and a stranger: exactly those of the table get through."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext

from common.ids import uuid7
from fleet.enums import Role
from tests.api.matrix.table import ROLES, TABLE, roles_named
from tests.factories.fleet import make_carrier
from tests.support.acting import Device, acting_as
from tests.support.routes import Operation, operations

OPERATIONS = operations()
READING = ("SELECT", "SAVEPOINT", "RELEASE SAVEPOINT", "ROLLBACK TO SAVEPOINT")
REFUSED = (403, "role_not_allowed")
STRANGER = (401, "not_authenticated")


def call(caller: Device, operation: Operation) -> tuple[int, str | None]:
    """Send the operation to an address of nothing, with every header that it could ask for; status and code."""
    body: dict[str, object] | None = None if operation.method in {"GET", "DELETE"} else {}
    response = caller.send(operation.method, operation.path, body, key=str(uuid7()), if_match='"1"')
    problem = response.headers.get("Content-Type") == "application/problem+json"
    return response.status_code, response.json()["code"] if problem else None


@contextmanager
def taken_back() -> Iterator[None]:
    """What one operation wrote is gone before the next one is tried."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def gets_through(answer: tuple[int, str | None]) -> bool:
    """Whether the handler was reached: it finds nothing there, or refuses the empty body, but not the caller."""
    return answer[0] not in {401, 403, 405} and answer[0] < 500


def test_tables__have_a_line_for_every_operation_and_no_other() -> None:
    names = [operation.name for operation in OPERATIONS]
    assert len(names) > 40
    assert sorted(TABLE["operations"]) == names


@pytest.mark.django_db
@pytest.mark.parametrize("role", ROLES)
def test_each_role__gets_through_where_the_table_says_and_elsewhere_writes_nothing(role: Role) -> None:
    make_carrier()
    clearance_request, wrong = acting_as(role), []
    for operation in OPERATIONS:
        with taken_back(), CaptureQueriesContext(connection) as statements:
            answer = call(clearance_request, operation)
            wrote = [sql["sql"] for sql in statements if not sql["sql"].startswith(READING)]
        allowed = role in roles_named(TABLE["operations"][operation.name])
        if not gets_through(answer) if allowed else answer != REFUSED or wrote:
            wrong.append((operation.name, answer, wrote))
    assert wrong == []


@pytest.mark.django_db
def test_person_without_a_role_and_stranger__get_through_only_where_anybody_may() -> None:
    make_carrier()
    roleless, wrong = acting_as(), []
    for operation in OPERATIONS:
        with taken_back():
            answers = call(roleless, operation), call(Device(), operation)
        if TABLE["operations"][operation.name] == "anonymous":
            right = all(map(gets_through, answers))
        else:
            right = answers == (REFUSED, STRANGER)
        if not right:
            wrong.append((operation.name, answers))
    assert wrong == []


def test_compliance_and_auditor__read_everything_but_forms_for_taking_in() -> None:
    kept_from = {
        name
        for name, roles in TABLE["operations"].items()
        if name.startswith("GET ") and not {Role.COMPLIANCE, Role.AUDITOR} <= roles_named(roles)
    }
    assert {name for name in kept_from if not name.startswith("GET /imports/")} == set()
