"""What must hold before a restore changes anything; each refusal is a sentence that says what to do."""

from pathlib import Path

from fleet.models import Carrier
from fleet.selectors.operation import migrations
from fleet.services.operation.backups import database
from fleet.services.operation.backups.manifest import DIGESTS, Manifest
from fleet.services.operation.backups.programs import server_major
from fleet.services.operation.backups.refusal import BackupRefusedError, not_owner
from fleet.services.records.digests import sha256_of

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
