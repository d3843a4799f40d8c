"""Restoring a backup into an empty database, and noting it there, so that newer digests are explained."""

import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path

from django.core.management import call_command
from django.db import connection, transaction
from psycopg import sql

from fleet.models import Carrier
from fleet.selectors.operation import migrations
from fleet.services.operation.backups import database
from fleet.services.operation.backups.files import bring_back
from fleet.services.operation.backups.locks import alone_restoring
from fleet.services.operation.backups.manifest import DIGESTS, DUMP, Manifest, read_backup
from fleet.services.operation.backups.programs import find_program, run_program, server_major
from fleet.services.operation.backups.record import record_restore, refuse_unsaid
from fleet.services.operation.backups.refusal import BackupRefusedError, not_owner
from fleet.services.operation.database_roles import SCHEMA
from fleet.services.records.digests import digest_day, sha256_of

CARRIERS = "fleet_carrier"


def refuse_living(database_name: str) -> None:
    """Refuse a database of another role, one with a carrier on record, or with tables that are not the service's."""
    tables = database.tables()
    if not database.is_owned():
        raise not_owner(database_name)
    if not tables:
        return
    if CARRIERS not in tables:
        raise BackupRefusedError(
            f"{database_name} holds tables of something else; make an empty database for the service"
        )
    if Carrier.objects.exists():
        if database.is_half_restored():
            raise BackupRefusedError(
                f"{database_name} was filled by a restore that was interrupted: drop it (DROP DATABASE …), make it "
                "again by config/deploy/make-roles.sh, and restore anew"
            )
        raise BackupRefusedError(
            f"{database_name} is in use: a carrier is on record. A restore takes an empty database; keep the "
            "present one under another name (ALTER DATABASE … RENAME TO …) and make a new one"
        )
    if names := database.not_owned():
        raise not_owner(names)


def refuse_other_release(manifest: Manifest) -> None:
    """Refuse what a newer release wrote, and a server older than the one that was backed up."""
    known = {f"{app}.{name}" for app, name in migrations.known()}
    unknown = [name for name in manifest.migrations if name not in known]
    if unknown:
        raise BackupRefusedError(
            f"the backup was made by a newer release: this one does not know {', '.join(unknown[:5])}. "
            "Install that release, or a later one, and restore with it"
        )
    if server_major() < manifest.postgresql:
        raise BackupRefusedError(
            f"the backup was made on PostgreSQL {manifest.postgresql}, this server is of {server_major()}; "
            f"{manifest.postgresql} or newer is needed"
        )


def refuse_missing_roles(manifest: Manifest) -> None:
    """Refuse a server without the roles that the backup gives rights to."""
    missing = sorted(set(manifest.roles) - database.roles_there())
    if missing:
        raise BackupRefusedError(
            f"the server has no role {', '.join(missing)}; make the roles first, with config/deploy/make-roles.sh"
        )


def refuse_other_digests(folder: Path, manifest: Manifest, digests: Path) -> None:
    """Refuse a folder of digests in which one of a day differs from the backup's: it is of another installation."""
    for name in manifest.digests:
        there = digests / name
        if there.exists() and sha256_of(there) != sha256_of(folder / DIGESTS / name):
            raise BackupRefusedError(
                f"{there} is not the one in the backup: the folder is another installation's, or was changed. Name an "
                "empty one in HISTORY_DIGEST_DIR, and keep this one"
            )


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
        refuse_living(connection.settings_dict["NAME"])
        refuse_other_release(manifest)
        refuse_missing_roles(manifest)
        refuse_other_digests(folder, manifest, digests)
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
