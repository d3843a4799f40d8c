"""The system check reports every problem of the catalogue files and none of sound ones."""

import pytest

from defects.selectors.catalogue import checks


def test_package_catalogue__no_error() -> None:
    assert checks.check_catalogue(None) == []


def test_malformed_files__an_error_each_with_its_place(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        checks, "read_package_documents", lambda: {"a.toml": '[[point]]\nname = "a.horn"\n', "b.toml": "["}
    )
    errors = checks.check_catalogue(None)
    assert {error.id for error in errors} == {"defects.E001"}
    assert {"b.toml", "a.toml a.horn unit_kinds", "a.toml a.horn finding"} <= {error.obj for error in errors}
    assert {error.msg for error in errors[1:]} == {"is missing"}, "contradictions wait until it can be read"


def test_check_of_another_app__not_its_business(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(checks, "read_package_documents", lambda: {"b.toml": "["})
    assert checks.check_catalogue([]) == []
