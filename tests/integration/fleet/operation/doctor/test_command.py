"""The whole examination by its command."""

import io

import pytest
from django.core.management import CommandError, call_command
from django.db import connections
from pytest_django import Settings

from tests.support.committing import CommittingDatabase
from tests.support.ports import free_port


def told(*arguments: str) -> list[str]:
    out = io.StringIO()
    with pytest.raises(CommandError, match="wrong"):
        call_command("doctor", *arguments, stdout=out)
    return out.getvalue().splitlines()


def test_everything_is_looked_at(as_web: CommittingDatabase) -> None:
    lines = told()
    assert [line for line in lines if line.startswith("-")] == [
        "-      broker: not looked at",
        "-      certificate: not looked at",
    ]
    for name in ("database", "migrations", "web role", "clocks", "messages", "digests", "last day's histories"):
        assert f"ok     {name}" in lines
    assert any(line.startswith("WRONG  jobs: ") and " -> see whether worker and beat run" in line for line in lines)


def test_database_is_away__said_and_the_rest_is_looked_at(
    committing_db: CommittingDatabase, monkeypatch: pytest.MonkeyPatch, settings: Settings
) -> None:
    connections.close_all()
    monkeypatch.setitem(connections.settings["default"], "HOST", "127.0.0.1")
    monkeypatch.setitem(connections.settings["default"], "PORT", str(free_port()))
    settings.LOCAL_DEMO, settings.REDIS_URL = False, f"redis://127.0.0.1:{free_port()}/0"
    lines = told("--certificate", f"localhost:{free_port()}")
    connections.close_all()
    begun = [line.partition(": ")[0] for line in lines if line.startswith("WRONG")]
    assert {"WRONG  settings", "WRONG  folders", "WRONG  broker", "WRONG  certificate", "WRONG  database"} <= set(begun)
    assert [line for line in lines if line.startswith("-")] == [
        f"-      {name}: not looked at"
        for name in (
            *("migrations", "web role", "purge role", "clocks", "jobs", "messages", "digests"),
            "last day's histories",
        )
    ]


def test_database_is_not_migrated__the_rest_of_it_waits(as_web: CommittingDatabase) -> None:
    connections["default"].settings_dict["USER"] = as_web.owner.user
    connections["default"].close()
    with connections["default"].cursor() as cursor:
        cursor.execute("DELETE FROM django_migrations WHERE app = 'workorders'")
    lines = told()
    assert any(line.startswith("WRONG  migrations: the database lacks") for line in lines)
    assert "-      jobs: not looked at" in lines
