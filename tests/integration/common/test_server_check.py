"""A server that is too old is named before anything is made on it."""

import pytest
from django.core.checks import Error
from django.core.management import call_command
from django.core.management.base import SystemCheckError
from django.db import connections

from common.apps import check_server


@pytest.mark.django_db
def test_server_of_the_suite__is_new_enough() -> None:
    assert check_server(databases=["default"]) == []
    assert check_server() == []


@pytest.mark.django_db
@pytest.mark.parametrize(("version", "said"), [(140019, ["14"]), (149999, ["14"]), (150000, []), (180003, [])])
def test_version__refused_below_15(monkeypatch: pytest.MonkeyPatch, version: int, said: list[str]) -> None:
    monkeypatch.setitem(vars(connections["default"]), "pg_version", version)
    expected = [Error(f"PostgreSQL 15 or newer is needed; default is {found}", id="common.E002") for found in said]
    assert check_server(databases=["default"]) == expected


@pytest.mark.django_db
def test_migrating_on_one__ends_before_the_first_table(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(vars(connections["default"]), "pg_version", 140019)
    with pytest.raises(SystemCheckError, match="PostgreSQL 15 or newer is needed; default is 14"):
        call_command("migrate", verbosity=0, skip_checks=False)
