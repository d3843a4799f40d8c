"""Every list that can be cut down to units: a slip of the pen is refused, and never looks like a clean unit."""

import pytest

from fleet.api.documents.expiry_filter import UnitFilter
from fleet.api.requests.references import UnitRefFilter, UnitRefsFilter
from fleet.enums import Role, UnitKind
from fleet.models import Carrier
from tests.factories.fleet import make_person, make_unit
from tests.support.acting import acting_as, codes
from tests.support.routes import operations

FILTERS = [
    pytest.param(operation.path, name, id=f"{operation.path}?{name}")
    for operation in operations()
    if operation.action == "list" and "404" not in operation.path
    for name, known in getattr(getattr(operation.view, "filterset_class", None), "base_filters", {}).items()
    if isinstance(known, UnitRefFilter | UnitRefsFilter | UnitFilter)
]


def test_filters__found() -> None:
    found = {param.values for param in FILTERS}
    assert {
        ("yard", "unit"),
        ("holds", "unit"),
        ("defects", "unit"),
        ("reports", "unit"),
        ("documents", "unit"),
    } <= found


@pytest.mark.parametrize(("path", "name"), FILTERS)
def test_unit_that_there_is_not__refused_and_the_parameter_named(carrier: Carrier, path: str, name: str) -> None:
    kind = {"trailer": UnitKind.TRAILER, "cooling_unit": UnitKind.COOLING_UNIT}.get(name, UnitKind.TRACTOR)
    known = make_unit(kind, "LR-46")
    caller = acting_as(make_person("Everything", *Role))
    refused = caller.get(path, **{name: "LR-64"})
    assert (refused.status_code, codes(refused)) == (400, [(name, "unit_unknown")])
    for ref in ("lr-46", str(known.pk)):
        answer = caller.get(path, **{name: ref})
        assert answer.status_code == 200, answer.content
