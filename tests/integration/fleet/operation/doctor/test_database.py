"""What the doctor says of the database: reach, version, migrations, clocks."""

import datetime as dt

import pytest
from django.db import connection, connections

from common import clock
from fleet.management.doctor import database
from fleet.management.doctor.database import (
    examine_clocks,
    examine_migrations,
    examine_reach,
    examine_restore,
    examine_version,
)
from fleet.services.operation.backups.database import say_restoring
from tests.factories.fleet import make_bare_unit, write_entries
from tests.support.committing import CommittingDatabase
from tests.support.ports import free_port


@pytest.mark.django_db
def test_sound_database__nothing_is_wrong() -> None:
    assert list(examine_reach()) == []
    assert list(examine_version()) == []
    assert list(examine_restore()) == []
    assert list(examine_migrations()) == []
    assert list(examine_clocks(clock.now())) == []


def test_database_is_away__said_where_and_as_whom(
    committing_db: CommittingDatabase, monkeypatch: pytest.MonkeyPatch
) -> None:
    connections.close_all()
    port = free_port()
    monkeypatch.setitem(connections.settings["default"], "HOST", "127.0.0.1")
    monkeypatch.setitem(connections.settings["default"], "PORT", str(port))
    (only,) = examine_reach()
    assert f"127.0.0.1:{port} does not let {committing_db.owner.user} in" in only.wrong
    connections.close_all()


@pytest.mark.django_db
def test_server_is_too_old__said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(database, "OLDEST_VERSION", 990_000)
    (only,) = examine_version()
    assert "is not supported" in only.wrong


@pytest.mark.django_db
def test_restore_was_interrupted__said() -> None:
    say_restoring(begun=True)
    (only,) = examine_restore()
    assert only.wrong == "a restore into this database was interrupted and is not on record"
    say_restoring(begun=False)
    assert list(examine_restore()) == []


@pytest.mark.django_db
def test_migration_is_outstanding__named() -> None:
    with connection.cursor() as cursor:
        cursor.execute("DELETE FROM django_migrations WHERE app = 'fleet' AND name = '0001_initial'")
    (only,) = examine_migrations()
    assert only.wrong == "the database lacks 1 migrations, the first fleet.0001_initial"


@pytest.mark.django_db
def test_migration_of_a_newer_release__named() -> None:
    with connection.cursor() as cursor:
        cursor.execute("INSERT INTO django_migrations (app, name, applied) VALUES ('fleet', '9999_to_come', now())")
    (only,) = examine_migrations()
    assert "fleet.9999_to_come, which this release does not know" in only.wrong


@pytest.mark.django_db
@pytest.mark.parametrize("ahead", [dt.timedelta(minutes=-1), dt.timedelta(minutes=1)])
def test_clocks_of_the_two_hosts_differ__said(ahead: dt.timedelta) -> None:
    (only,) = examine_clocks(clock.now() + ahead)
    assert "the database's clock says" in only.wrong


@pytest.mark.django_db
def test_history_written_in_the_future__said() -> None:
    write_entries(make_bare_unit(), 1, at=clock.now() + dt.timedelta(hours=6))
    (only,) = examine_clocks(clock.now())
    assert "still to come" in only.wrong
