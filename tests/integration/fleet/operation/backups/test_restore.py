"""A restore brings back exactly what was backed up, into an empty database alone, and is on record afterwards."""

import datetime as dt
import io
import json
import shutil
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection, connections

from config.database_url import Database
from config.local.roles import PURGE, WEB
from fleet.models import Carrier, Restore
from fleet.services.documents.files import read_file
from fleet.services.operation.backups.database import is_half_restored, row_counts, tables
from fleet.services.operation.backups.locks import alone_restoring
from fleet.services.operation.backups.manifest import seal
from fleet.services.operation.backups.refusal import BackupRefusedError
from fleet.services.operation.backups.restore import restore
from tests.factories.fleet import NOON
from tests.integration.fleet.operation.backups.conftest import BackedUp, NewHost
from tests.support.at_once import at_once
from tests.support.database import clone, drop, maintaining, pointed_at
from tests.support.stored_files import path_of

LATER = NOON + dt.timedelta(days=2)


def bring_back(backup: Path, digests: Path) -> list[str]:
    return restore(folder=backup, digests=digests, by="Ola, at the console", now=LATER).differences


def change(backup: Path, **changes: object) -> None:
    """Write other figures into a manifest, and seal it as if it had been so."""
    said = json.loads((backup / "backup.json").read_text())
    (backup / "backup.json").write_text(json.dumps({**said, **changes}))
    seal_again(backup)


def seal_again(backup: Path) -> None:
    (backup / "SHA256SUMS").unlink()
    seal(backup)


def test_ended_between_load_and_record__said_by_the_next_one(
    backed_up: BackedUp, new_host: NewHost, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys.modules[restore.__module__], "record_restore", _end)
    with pytest.raises(KeyboardInterrupt):
        bring_back(backed_up.backup, new_host.digests)
    assert (Carrier.objects.count(), Restore.objects.count()) == (1, 0)
    monkeypatch.undo()
    with pytest.raises(BackupRefusedError, match="was filled by a restore that was interrupted"):
        bring_back(backed_up.backup, new_host.digests)


def _end(**_given: object) -> None:
    raise KeyboardInterrupt


def test_restored__is_whole_and_on_record(backed_up: BackedUp, new_host: NewHost) -> None:
    assert bring_back(backed_up.backup, new_host.digests) == []

    rows = json.loads((backed_up.backup / "backup.json").read_text())["rows"]
    assert row_counts() == {**rows, "fleet_restore": 1}
    assert read_file(backed_up.of.file.pk) == b"%PDF-1.7 a scan"
    assert [path.name for path in new_host.digests.iterdir()] == ["history-2026-03-06.jsonl"]
    row = Restore.objects.get()
    assert (row.backed_up_at, row.restored_at, row.restored_by) == (NOON, LATER, "Ola, at the console")
    assert row.known_until == dt.date(2026, 3, 6)
    assert row.lengths == {str(unit.pk): 3 for unit in backed_up.of.units}
    assert not is_half_restored()
    for table in ("fleet_restore", "fleet_historyentry"):
        with connection.cursor() as cursor, pytest.raises(DatabaseError, match=f"{table} is append-only"):
            cursor.execute(f"TRUNCATE {table} CASCADE")
    call_command("grant_web_role", role=WEB, verbosity=0)
    call_command("grant_purge_role", role=PURGE, verbosity=0)


def test_command__says_what_it_found(backed_up: BackedUp, new_host: NewHost) -> None:
    said = io.StringIO()

    call_command("restore", str(backed_up.backup), by="Ola", stdout=said)

    assert "restored as of 2026-03-06 18:00:00 UTC" in said.getvalue()
    assert "6 entries of history" in said.getvalue()
    assert said.getvalue().endswith("rows, files and histories are as they were backed up\n")


def test_what_is_not_as_the_backup_says__is_said(backed_up: BackedUp, backup: Path, new_host: NewHost) -> None:
    rows = json.loads((backup / "backup.json").read_text())["rows"]
    change(backup, rows={**rows, "fleet_carrier": 2}, heads="00")
    path_of(backed_up.of.file.pk).parent.mkdir(parents=True)
    path_of(backed_up.of.file.pk).write_bytes(b"rotten")
    said = io.StringIO()

    with pytest.raises(CommandError, match="restored, but 3 things are not as the backup says"):
        call_command("restore", str(backup), by="Ola", stdout=said)

    assert said.getvalue().splitlines()[:3] == [
        f"file {backed_up.of.file.pk} is not in the store as it was",
        "fleet_carrier has 1 rows, the backup has 2",
        "the histories do not end where they ended in the backup",
    ]


def test_database_migrated_and_not_founded__is_empty(
    backed_up: BackedUp, new_host: NewHost, database_server: Database, migrated_template: str
) -> None:
    connections.close_all()
    with maintaining(database_server) as server:
        drop(server, new_host.database)
        clone(server, migrated_template, new_host.database)

    assert bring_back(backed_up.backup, new_host.digests) == []

    assert Carrier.objects.count() == 1


def test_database_in_use__is_refused_and_unchanged(backed_up: BackedUp) -> None:
    with pointed_at(backed_up.database):
        before = row_counts()

        with pytest.raises(CommandError, match="is in use: a carrier is on record"):
            call_command("restore", str(backed_up.backup), by="Ola")

        assert row_counts() == before


def test_database_of_something_else__is_refused(backed_up: BackedUp, new_host: NewHost) -> None:
    with connection.cursor() as cursor:
        cursor.execute("CREATE TABLE letters (id int)")

    with pytest.raises(BackupRefusedError, match="holds tables of something else"):
        bring_back(backed_up.backup, new_host.digests)

    assert row_counts() == {"letters": 0}


def test_role_that_does_not_own_the_database__is_refused(backed_up: BackedUp, new_host: NewHost) -> None:
    with connection.cursor() as cursor:
        cursor.execute(f"SET ROLE {WEB}")
        with pytest.raises(BackupRefusedError, match=r"does not own .*; set DATABASE_URL to the role"):
            bring_back(backed_up.backup, new_host.digests)
        cursor.execute("RESET ROLE")

    assert row_counts() == {}


def cut(path: Path) -> None:
    path.write_bytes(path.read_bytes()[:-1])


@pytest.mark.parametrize(
    ("harm", "says"),
    [
        (lambda backup: cut(backup / "database.dump"), r"database\.dump is not what was written"),
        (lambda backup: (backup / "database.dump").unlink(), r"database\.dump is missing"),
        (lambda backup: shutil.rmtree(backup / "files"), "files/../.* is missing"),
        (lambda backup: (backup / "digests" / "more.jsonl").touch(), r"digests/more\.jsonl is not listed"),
        (lambda backup: (backup / "SHA256SUMS").unlink(), "is no whole backup"),
        (lambda backup: change(backup, digests=[]), r"history-2026-03-06\.jsonl is not listed"),
        (lambda backup: change(backup, form=9), "its form is 9"),
        (lambda backup: change(backup, migrations=["fleet.9999_ahead"]), r"newer release: .*fleet\.9999_ahead"),
        (lambda backup: change(backup, postgresql=99), "was made on PostgreSQL 99"),
        (lambda backup: change(backup, roles=["reefer_web", "reefer_other"]), "no role reefer_other; make the roles"),
    ],
)
def test_backup_that_does_not_fit__is_refused_and_nothing_is_changed(
    backup: Path, new_host: NewHost, harm: Callable[[Path], None], says: str
) -> None:
    harm(backup)

    with pytest.raises(BackupRefusedError, match=says):
        bring_back(backup, new_host.digests)

    assert row_counts() == {}
    assert not new_host.media.exists()
    assert not new_host.digests.exists()


def test_digests_of_another_installation__are_refused(backed_up: BackedUp, new_host: NewHost) -> None:
    new_host.digests.mkdir()
    (new_host.digests / "history-2026-03-06.jsonl").write_text("another's\n")

    with pytest.raises(BackupRefusedError, match="is not the one in the backup"):
        bring_back(backed_up.backup, new_host.digests)

    assert row_counts() == {}


def test_two_at_once__the_second_is_refused(backed_up: BackedUp, new_host: NewHost) -> None:
    def second() -> str:
        with pytest.raises(BackupRefusedError) as refused:
            bring_back(backed_up.backup, new_host.digests)
        return str(refused.value)

    with alone_restoring():
        assert at_once(1, second) == ["another restore into this database is at work"]
    assert row_counts() == {}


def test_load_breaks_off__the_database_stays_empty(backup: Path, new_host: NewHost) -> None:
    dump = (backup / "database.dump").read_bytes()
    (backup / "database.dump").write_bytes(dump[: len(dump) * 2 // 3])
    seal_again(backup)

    with pytest.raises(BackupRefusedError, match="pg_restore failed"):
        bring_back(backup, new_host.digests)

    assert row_counts() == {}


@pytest.mark.parametrize("by", ["", " ", "x" * 161])
def test_who_restores_cannot_be_put_on_record__refused_before_anything_changes(
    backed_up: BackedUp, new_host: NewHost, by: str
) -> None:
    with pytest.raises(CommandError, match="nothing restored: who restores must be said, in 160 characters at most"):
        call_command("restore", str(backed_up.backup), by=by)

    assert tables() == []
