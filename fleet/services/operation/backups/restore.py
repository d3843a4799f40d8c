"""Restoring a backup into an empty database, and noting it there, so that newer digests are explained."""

import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from django.core.management import call_command
from django.db import connection, transaction
from psycopg import sql

from fleet.services.operation.backups import checks, database
from fleet.services.operation.backups.files import bring_back
from fleet.services.operation.backups.locks import alone_restoring
from fleet.services.operation.backups.manifest import DIGESTS, DUMP, Manifest, read_backup
from fleet.services.operation.backups.programs import find_program, run_program
from fleet.services.operation.backups.record import record_restore, refuse_unsaid
from fleet.services.operation.database_roles import SCHEMA
from fleet.services.records.digests import digest_day


@dataclass(frozen=True)
class Restored:
    """What was restored, and in a sentence each what is not as the backup says."""

    manifest: Manifest
    differences: list[str]


def restore(*, folder: Path, digests: Path, by: str, now: datetime) -> Restored:
    """Load a backup into the empty database of the settings, files into their store, digests into their folder.

    BackupRefusedError, and nothing is changed, for a damaged or partial folder, a newer release's, one of a newer
    PostgreSQL, a database in use, a second restore at once, missing roles, and digests of another installation.
    """
    refuse_unsaid(by)
    manifest = read_backup(folder)
    program = find_program("pg_restore")
    with alone_restoring():
        checks.refuse_living(connection.settings_dict["NAME"])
        checks.refuse_other_release(manifest)
        checks.refuse_missing_roles(manifest)
        checks.refuse_other_digests(folder, manifest, digests)
        differences = [f"file {sha256} is not in the store as it was" for sha256 in bring_back(folder)]
        _bring_digests(folder, manifest, digests)
        database.say_restoring(begun=True)
        _empty_schema()
        run_program(program, "--single-transaction", "--exit-on-error", "--no-owner", str(folder / DUMP))
        differences += _differences(manifest)
        call_command("migrate", interactive=False, verbosity=0)
        record_restore(as_of=manifest.taken_at, known_until=_newest(manifest), by=by, now=now)
        database.say_restoring(begun=False)
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")
    return Restored(manifest, differences)


def _bring_digests(folder: Path, manifest: Manifest, digests: Path) -> None:
    """Copy the digests that are not there; newer ones that are there stay."""
    digests.mkdir(parents=True, exist_ok=True)
    for name in manifest.digests:
        if not (digests / name).exists():
            shutil.copy2(folder / DIGESTS / name, digests)


@transaction.atomic
def _empty_schema() -> None:
    """Take away the tables of an installation in which nobody was founded; a dump holds all of them."""
    schema = sql.Identifier(SCHEMA)
    with connection.cursor() as cursor:
        cursor.execute(sql.SQL("DROP SCHEMA IF EXISTS {} CASCADE").format(schema))
        cursor.execute(sql.SQL("CREATE SCHEMA {} AUTHORIZATION pg_database_owner").format(schema))
        cursor.execute(sql.SQL("GRANT USAGE ON SCHEMA {} TO PUBLIC").format(schema))


def _differences(manifest: Manifest) -> Iterator[str]:
    counts = database.row_counts()
    for table in sorted(counts.keys() | manifest.rows.keys()):
        expected, found = manifest.rows.get(table), counts.get(table)
        if expected != found:
            yield f"{table} has {found} rows, the backup has {expected}"
    if database.heads_sha256() != manifest.heads:
        yield "the histories do not end where they ended in the backup"


def _newest(manifest: Manifest) -> date | None:
    return digest_day(Path(manifest.digests[-1])) if manifest.digests else None
