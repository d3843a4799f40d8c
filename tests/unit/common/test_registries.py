"""Constraints and versions: one meaning each, and an edit of another version is refused."""

from dataclasses import dataclass

import pytest

from common import constraints
from common.constraints import constraint_code, register_constraint
from common.errors import PreconditionFailed
from common.versions import etag, require_version


@dataclass
class Row:
    version: int


@pytest.fixture
def _registry_as_before(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(constraints, "_codes", {})


@pytest.mark.usefixtures("_registry_as_before")
def test_constraint__keeps_its_one_code() -> None:
    register_constraint("unit_number_once", "number_taken")
    register_constraint("unit_number_once", "number_taken")
    assert constraint_code("unit_number_once") == "number_taken"
    assert constraint_code("another") is None
    with pytest.raises(ValueError, match="number_taken"):
        register_constraint("unit_number_once", "another_code")


def test_present_version__passes() -> None:
    require_version(Row(3), 3)


@pytest.mark.parametrize("expected", [2, 4, None])
def test_another_version__precondition_failed(expected: int | None) -> None:
    with pytest.raises(PreconditionFailed) as caught:
        require_version(Row(3), expected)
    assert (caught.value.code, caught.value.facts) == ("version_changed", {"current_version": 3})


def test_etag__strong() -> None:
    assert etag(7) == '"7"'
