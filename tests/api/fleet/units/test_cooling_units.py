"""Cooling units over HTTP: what is changed of one."""

import pytest

from fleet.enums import Role, UnitKind
from tests.factories.fleet import make_unit
from tests.support.acting import acting_as

pytestmark = pytest.mark.usefixtures("carrier")


def test_change__what_is_sent_and_nothing_else() -> None:
    unit = make_unit(kind=UnitKind.COOLING_UNIT)
    office = acting_as(Role.COMPLIANCE)
    before = office.get(f"cooling-units/{unit.number}")
    changed = office.patch(f"cooling-units/{unit.number}", {"make": "Coldfront"}, if_match=before.headers["ETag"])
    assert changed.status_code == 200, changed.content
    assert changed.json() == {**before.json(), "make": "Coldfront", "version": before.json()["version"] + 1}
