"""Constraints and versions: one meaning each, and an edit of another version is refused."""

from dataclasses import dataclass

import pytest

from common.api.database_errors import constraint_code
from common.errors import PreconditionFailed
from common.messages import Sentences
from common.versions import require_version
from tests.support.composing import contribute


@dataclass
class Row:
    version: int


def test_constraint__means_the_code_that_an_app_gives_it(monkeypatch: pytest.MonkeyPatch) -> None:
    contribute(monkeypatch, Sentences((), constraints={"larder_number_once": "number_taken"}))
    assert constraint_code("larder_number_once") == "number_taken"
    assert constraint_code("another") is None


@pytest.mark.parametrize("expected", [2, 4, None])
def test_another_version__precondition_failed_where_the_present_one_passes(expected: int | None) -> None:
    with pytest.raises(PreconditionFailed) as caught:
        require_version(Row(3), expected)
    require_version(Row(3), 3)
    assert (caught.value.code, caught.value.facts) == ("version_changed", {"current_version": 3})
