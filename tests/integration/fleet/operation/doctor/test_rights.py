"""What the doctor says of the database's roles."""

from collections.abc import Iterator

import psycopg
import pytest
from django.conf import settings
from django.db import connections
from psycopg import sql

from config.local.roles import PURGE
from fleet.management.doctor.rights import examine_purge_role, examine_web_role
from tests.support.committing import CommittingDatabase
from tests.support.database import drop, maintaining


def as_owner(database: CommittingDatabase, statement: bytes) -> None:
    with psycopg.connect(database.owner.url(), autocommit=True) as owner:
        owner.execute(statement)


@pytest.mark.django_db
def test_service_works_as_the_owner__said() -> None:
    (only,) = examine_web_role()
    assert "a superuser or an owner" in only.wrong


def test_rights_as_granted__nothing_is_wrong(as_web: CommittingDatabase) -> None:
    assert list(examine_web_role()) == []


@pytest.mark.parametrize("right", [b"UPDATE", b"DELETE", b"TRUNCATE"])
def test_web_role_may_change_what_is_kept__named(as_web: CommittingDatabase, right: bytes) -> None:
    as_owner(as_web, b"GRANT " + right + b" ON fleet_historyentry TO reefer_web")
    (only,) = examine_web_role()
    assert only.wrong == "reefer_web may change what is kept for good, in fleet_historyentry"


def test_web_role_lacks_a_right__named(as_web: CommittingDatabase) -> None:
    as_owner(as_web, b"REVOKE INSERT ON fleet_unit FROM reefer_web")
    (only,) = examine_web_role()
    assert only.wrong == "reefer_web lacks rights on fleet_unit"


@pytest.mark.django_db
def test_no_purge_role_here__said() -> None:
    (only,) = examine_purge_role()
    assert "PURGE_DATABASE_URL is not set here" in only.wrong


@pytest.fixture
def purging(as_web: CommittingDatabase, monkeypatch: pytest.MonkeyPatch) -> Iterator[CommittingDatabase]:
    """The second connection that the worker alone has."""
    told = {**connections.settings["default"], "USER": PURGE, "PASSWORD": as_web.purge.password}
    monkeypatch.setitem(connections.settings, "purge", told)
    monkeypatch.setitem(settings.DATABASES, "purge", told)
    yield as_web
    connections["purge"].close()
    del connections["purge"]


def test_purge_role_as_granted__nothing_is_wrong(purging: CommittingDatabase) -> None:
    assert list(examine_purge_role()) == []


def test_purge_role_may_read_a_table__said(purging: CommittingDatabase) -> None:
    as_owner(purging, b"GRANT SELECT ON fleet_person TO reefer_purge")
    (only,) = examine_purge_role()
    assert only.wrong == "reefer_purge, which deletes what is past its days, may do more than that"


def test_purge_role_lacks_a_function__counted(purging: CommittingDatabase) -> None:
    as_owner(purging, b"REVOKE EXECUTE ON FUNCTION purge_undated FROM reefer_purge")
    (only,) = examine_purge_role()
    assert "functions that delete" in only.wrong


def test_purge_role_is_not_let_in__said(purging: CommittingDatabase, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(connections.settings["purge"], "USER", "nobody_of_that_name")
    (only,) = examine_purge_role()
    assert "nobody_of_that_name, is not let in" in only.wrong


def test_purge_role_deletes_in_another_database__said(
    purging: CommittingDatabase, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As after a restore that left the old database under another name."""
    name = f"{purging.owner.name}_before"
    with maintaining(purging.owner) as server:
        server.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
        monkeypatch.setitem(connections.settings["purge"], "NAME", name)
        (only,) = examine_purge_role()
        connections["purge"].close()
        drop(server, name)
    assert only.wrong.startswith(f"reefer_purge deletes in another database, {name}")
