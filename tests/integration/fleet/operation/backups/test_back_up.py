"""A backup appears whole or not at all, and holds what belongs to one moment."""

import datetime as dt
import errno
import io
import shutil
import stat
import subprocess
from pathlib import Path
from typing import NamedTuple

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from pytest_django import Settings

from common.canonical import sha256_hex
from config.local.roles import WEB
from fleet.models import HistoryEntry
from fleet.rules.documents.file_types import DOCUMENTS
from fleet.services.documents.files import store_file
from fleet.services.operation.backups import make
from fleet.services.operation.backups.files import bring_back
from fleet.services.operation.backups.locks import files_stay
from fleet.services.operation.backups.make import back_up
from fleet.services.operation.backups.manifest import file_place, listed_files, read_backup
from fleet.services.operation.backups.programs import find_program, run_program
from fleet.services.operation.backups.refusal import BackupRefusedError
from fleet.services.operation.file_stores import bucket
from fleet.services.records.digests import write_history_digest
from fleet.services.records.purging.files import remove_files
from tests.factories.fleet import NOON, FileRemovalFactory, write_entries
from tests.integration.fleet.operation.backups.conftest import Installation
from tests.support.at_once import at_once
from tests.support.bucket_server import bucket_server
from tests.support.stored_files import path_of


class Disk(NamedTuple):
    """What `shutil.disk_usage` gives."""

    total: int
    used: int
    free: int


def write(folder: Path, installation: Installation, earlier: Path | None = None) -> None:
    back_up(folder=folder, digests=installation.digests, earlier=earlier, now=NOON)


def dumped(backup: Path, table: str) -> int:
    """How many rows of a table are in the dump."""
    words = [
        str(find_program("pg_restore")),
        "--data-only",
        f"--table={table}",
        "--file=-",
        str(backup / "database.dump"),
    ]
    said = subprocess.run(words, capture_output=True, text=True, check=True).stdout
    copied = said.partition("FROM stdin;\n")[2].partition("\\.\n")[0]
    return len(copied.splitlines())


def left_in(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir() if path.name not in {"media", "digests"})


def test_backup__says_what_it_holds_and_checks_with_plain_tools(installation: Installation, tmp_path: Path) -> None:
    backup = tmp_path / "backup"
    write(backup, installation)

    manifest = read_backup(backup)

    assert manifest.taken_at == NOON
    assert (manifest.rows["fleet_historyentry"], manifest.rows["fleet_carrier"]) == (6, 1)
    assert manifest.files == {"copied": 1}
    assert manifest.digests == ["history-2026-03-06.jsonl"]
    assert "fleet.0001_initial" in manifest.migrations
    assert {"reefer_web", "reefer_purge"} <= set(manifest.roles)
    subprocess.run(["sha256sum", "--check", "--strict", "--quiet", "SHA256SUMS"], cwd=backup, check=True)
    assert stat.S_IMODE(backup.stat().st_mode) == 0o700
    assert left_in(backup.parent) == ["backup"]


def test_command__says_where_it_is_and_what_is_in_it(installation: Installation, tmp_path: Path) -> None:
    said = io.StringIO()

    call_command("back_up", str(tmp_path / "backup"), stdout=said)

    assert "digests: 1\n" in said.getvalue()
    assert "files: 1 copied" in said.getvalue()
    assert read_backup(tmp_path / "backup").files == {"copied": 1}


def test_service_writes_on_meanwhile__what_came_after_the_snapshot_is_in_no_part(
    installation: Installation, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def write_later() -> None:
        write_entries(installation.units[0], 2)
        store_file(content=b"%PDF-1.7 later", declared=None, allowed=DOCUMENTS, expected_sha256=None, now=NOON)
        write_history_digest(directory=installation.digests, now=NOON + dt.timedelta(days=1))

    def run_while_the_service_writes(program: Path, *words: str) -> None:
        at_once(1, write_later)
        run_program(program, *words)

    monkeypatch.setattr(make, "run_program", run_while_the_service_writes)

    write(tmp_path / "backup", installation)

    manifest = read_backup(tmp_path / "backup")
    assert HistoryEntry.objects.count() == 8
    assert dumped(tmp_path / "backup", "fleet_historyentry") == 6
    assert manifest.rows["fleet_historyentry"] == 6
    assert manifest.files == {"copied": 1}
    assert manifest.digests == ["history-2026-03-06.jsonl"]


def test_files_past_their_days__stay_until_the_backup_has_copied(installation: Installation) -> None:
    FileRemovalFactory.create(file=installation.file)

    with files_stay():
        assert at_once(1, lambda: remove_files(now=NOON)) == [0]
        assert path_of(installation.file.pk).exists()
    assert at_once(1, lambda: remove_files(now=NOON)) == [1]
    assert not path_of(installation.file.pk).exists()


def test_file_removed_after_its_days__is_not_missed(installation: Installation, tmp_path: Path) -> None:
    FileRemovalFactory.create(file=installation.file)
    remove_files(now=NOON)

    write(tmp_path / "backup", installation)

    assert read_backup(tmp_path / "backup").files == {"removed": 1}


@pytest.mark.parametrize(("harm", "kept"), [(Path.unlink, "missing"), (lambda path: path.write_bytes(b"x"), "damaged")])
def test_file_that_the_disk_lost__is_named_and_does_not_stop_the_backup(
    installation: Installation, tmp_path: Path, harm: object, kept: str
) -> None:
    harm(path_of(installation.file.pk))  # type: ignore[operator]  # one of the two above

    write(tmp_path / "backup", installation)

    assert [(file.sha256, file.kept) for file in listed_files(tmp_path / "backup")] == [(installation.file.pk, kept)]


def test_earlier_backup__shares_its_files(installation: Installation, tmp_path: Path) -> None:
    backup = tmp_path / "backup"
    write(backup, installation)
    write(tmp_path / "next", installation, earlier=backup)

    place = file_place(installation.file.pk)
    assert (tmp_path / "next" / place).stat().st_ino == (backup / place).stat().st_ino
    assert read_backup(tmp_path / "next").files == {"copied": 1}


def test_earlier_backup_on_another_disk__its_files_are_copied(
    installation: Installation, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object) -> None:
        raise OSError(errno.EXDEV, "Invalid cross-device link")

    write(tmp_path / "backup", installation)
    monkeypatch.setattr("os.link", refuse)
    write(tmp_path / "next", installation, earlier=tmp_path / "backup")

    place = file_place(installation.file.pk)
    assert (tmp_path / "next" / place).read_bytes() == (tmp_path / "backup" / place).read_bytes()
    assert read_backup(tmp_path / "next").files == {"copied": 1}


def test_files_in_a_bucket__are_listed_stay_there_and_are_looked_for_at_a_restore(
    installation: Installation, tmp_path: Path, settings: Settings
) -> None:
    with bucket_server() as server:
        settings.FILE_BUCKET = server.settings()
        store_file(content=b"%PDF-1.7 in it", declared=None, allowed=DOCUMENTS, expected_sha256=None, now=NOON)
        write(tmp_path / "backup", installation)
        assert list(bring_back(tmp_path / "backup")) == []
        server.objects.clear()
        assert list(bring_back(tmp_path / "backup")) == [sha256_hex(b"%PDF-1.7 in it")]
        bucket._client.cache_clear()

    assert read_backup(tmp_path / "backup").files == {"in_bucket": 1, "missing": 1}
    assert not (tmp_path / "backup" / "files").exists()


def test_folder_that_is_not_empty__is_refused_and_left_alone(installation: Installation, tmp_path: Path) -> None:
    (tmp_path / "backup").mkdir()
    (tmp_path / "backup" / "something").touch()

    with pytest.raises(CommandError, match="backup is not empty"):
        call_command("back_up", str(tmp_path / "backup"))

    assert left_in(tmp_path / "backup") == ["something"]
    assert left_in(tmp_path) == ["backup"]


def test_no_room__is_refused_before_anything_is_dumped(
    installation: Installation, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(shutil, "disk_usage", lambda _: Disk(10**9, 10**9 - 5, 5))

    with pytest.raises(BackupRefusedError, match=r"has 0\.0 MB free, the backup may need"):
        write(tmp_path / "backup", installation)

    assert left_in(tmp_path) == []


@pytest.mark.parametrize("why", [OSError(28, "No space left on device"), KeyboardInterrupt()])
def test_breaks_off__leaves_nothing_half(
    installation: Installation, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, why: BaseException
) -> None:
    def broken(*_: object) -> None:
        raise why

    monkeypatch.setattr(make, "copy_files", broken)

    with pytest.raises((BackupRefusedError, KeyboardInterrupt)):
        write(tmp_path / "backup", installation)

    assert left_in(tmp_path) == []
    FileRemovalFactory.create(file=installation.file)
    assert at_once(1, lambda: remove_files(now=NOON)) == [1]


def test_dump_fails__says_what_the_program_said(installation: Installation, tmp_path: Path, settings: Settings) -> None:
    programs = tmp_path / "programs"
    programs.mkdir()
    version = find_program("pg_dump")
    (programs / "pg_dump").write_text(
        f'#!/bin/sh\n[ "$1" = --version ] && exec {version} --version\necho "disk is gone" >&2; exit 1\n'
    )
    (programs / "pg_dump").chmod(0o755)
    settings.POSTGRESQL_PROGRAMS = programs

    with pytest.raises(BackupRefusedError, match="pg_dump failed: disk is gone"):
        write(tmp_path / "backup", installation)

    assert left_in(tmp_path) == ["programs"]


def test_program_of_another_version__is_refused_with_what_to_install(
    installation: Installation, tmp_path: Path, settings: Settings
) -> None:
    (tmp_path / "pg_dump").write_text('#!/bin/sh\necho "pg_dump (PostgreSQL) 9.6.1"\n')
    (tmp_path / "pg_dump").chmod(0o755)
    settings.POSTGRESQL_PROGRAMS = tmp_path

    with pytest.raises(BackupRefusedError, match=r"pg_dump is of 9\. On Debian: apt-get install postgresql-client-\d+"):
        write(tmp_path / "backup", installation)


def test_web_role__is_refused(installation: Installation, tmp_path: Path) -> None:
    with connection.cursor() as cursor:
        cursor.execute(f"SET ROLE {WEB}")
        with pytest.raises(BackupRefusedError, match="set DATABASE_URL to the role that migrates"):
            write(tmp_path / "backup", installation)
        cursor.execute("RESET ROLE")

    assert left_in(tmp_path) == []
