"""One's own rows and somebody else's, for every role: what one may not see answers as if it were not there."""

import pytest

from common.ids import uuid7
from fleet.enums import Role
from tests.api.matrix import rows_defects, rows_fleet
from tests.api.matrix.table import ROLES, TABLE, roles_named
from tests.factories.fleet import make_carrier, make_person
from tests.support.acting import acting_as
from tests.support.routes import operations

ROW_OF = {**rows_fleet.ROW_OF, **rows_defects.ROW_OF}
BY_NAME = {operation.name: operation for operation in operations()}
NAMES_ROWS = sorted(name for name, operation in BY_NAME.items() if "{" in name and operation.method == "GET")


def test_table__says_of_every_row_that_can_be_read_whose_it_is() -> None:
    told = [name for part in ("foreign", "shared") for name in TABLE[part] if name.startswith("GET")]
    assert sorted(told) == NAMES_ROWS


def test_rows__each_line_has_a_way_to_make_one() -> None:
    assert sorted(ROW_OF) == sorted(TABLE["foreign"])


@pytest.mark.django_db
@pytest.mark.parametrize("name", sorted(TABLE["foreign"]))
@pytest.mark.parametrize("role", ROLES)
@pytest.mark.usefixtures("media")
def test_own_and_foreign_rows__are_seen_as_the_table_says(name: str, role: Role) -> None:
    make_carrier()
    operation = BY_NAME[name]
    person, other = make_person("Iris Quade", role), make_person("Tomo Vell", Role.DRIVER)
    asked = {
        whose: acting_as(person).send(operation.method, operation.path_to(ROW_OF[name](owner)), key=str(uuid7()))
        for whose, owner in (("own", person), ("foreign", other))
    }
    may_call = role in roles_named(TABLE["operations"][name])
    sees = {"own": may_call, "foreign": may_call and role in roles_named(TABLE["foreign"][name])}
    refused = 404 if may_call else 403
    for whose, response in asked.items():
        assert response.status_code in ({200, 204} if sees[whose] else {refused}), whose
