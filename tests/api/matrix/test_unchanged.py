"""An edit that changes nothing leaves a row at its version, so that nobody else's edit is refused for it."""

import pytest

from fleet.enums import Role
from tests.support.acting import acting_as
from tests.support.described import component, operation_of
from tests.support.routes import operations

EDITED = {
    "PATCH /carrier": Role.ADMINISTRATOR,
    "PATCH /cooling-units/{ref}": Role.COMPLIANCE,
    "PATCH /documents/{key}": Role.COMPLIANCE,
    "PATCH /loads/{ref}": Role.DISPATCH,
    "PATCH /people/{key}": Role.ADMINISTRATOR,
    "PATCH /sites/{code}": Role.ADMINISTRATOR,
    "PATCH /tractors/{ref}": Role.COMPLIANCE,
    "PATCH /trailers/{ref}": Role.COMPLIANCE,
}
NAMED_BY = {"documents": "id", "people": "id", "sites": "code", "loads": "number"}
LOAD = {"number": "L-90", "temperature_class": "frozen", "setpoint_f": -10, "seal": "7788"}


def test_table__names_every_edit() -> None:
    assert {operation.name for operation in operations() if operation.method == "PATCH"} == EDITED.keys()


@pytest.mark.usefixtures("ninefold")
@pytest.mark.parametrize("name", sorted(EDITED))
def test_edit_that_changes_nothing__leaves_the_version(name: str) -> None:
    desk, noun = acting_as(EDITED[name]), name.split("/")[1]
    path = noun
    if "{" in name:
        if noun == "loads":
            assert desk.post(noun, LOAD).status_code == 201
        path = f"{noun}/{desk.get(noun).json()['results'][0][NAMED_BY.get(noun, 'number')]}"
    answer = desk.get(path)
    shown, tag = answer.json(), answer.headers["ETag"]
    schema = operation_of("PATCH", answer)["requestBody"]["content"]["application/json"]["schema"]  # type: ignore[index]  # it is described
    known = component(schema["$ref"])["properties"]
    same = {field: value for field, value in shown.items() if field in known and isinstance(value, str | bool)}
    assert same

    for body in ({}, same):
        edited = desk.patch(path, body, if_match=tag)

        assert (edited.status_code, edited.json()["version"]) == (200, shown["version"]), edited.json()
