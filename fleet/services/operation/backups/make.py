"""Making a backup while the service goes on writing. Why its parts are of one moment stands in docs/decisions/0049.

Digests are listed first, so that none knows more than the database; then the database is dumped, counted and asked for
its files in one snapshot; then the files are copied, of which none is removed meanwhile.
"""

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from django.conf import settings
from django.db import connection, transaction

from common.snapshots import SNAPSHOT
from fleet.services.operation.backups import database
from fleet.services.operation.backups.files import copy_files, note_files
from fleet.services.operation.backups.locks import files_stay
from fleet.services.operation.backups.manifest import DIGESTS, DUMP, FORM, Manifest, seal, write_manifest
from fleet.services.operation.backups.programs import find_program, run_program, server_major
from fleet.services.operation.backups.refusal import BackupRefusedError, not_owner
from fleet.services.records.digests import digest_paths


def back_up(*, folder: Path, digests: Path, earlier: Path | None = None, now: datetime) -> Manifest:
    """Write a backup into a new folder, which appears whole or not at all; `earlier` is a backup to share files with.

    BackupRefusedError for a folder that is there and not empty, a disk without room, a role that does not own the
    tables, and without pg_dump of the server's version.
    """
    program = find_program("pg_dump")
    _refuse_role()
    with _draft(folder) as draft, files_stay():
        listed = digest_paths(digests)
        with transaction.atomic(durable=True):
            with connection.cursor() as cursor:
                cursor.execute(SNAPSHOT)
                cursor.execute("SELECT pg_export_snapshot()")
                ((snapshot,),) = cursor.fetchall()
            _refuse_without_room(folder, note_files(draft, earlier), listed)
            run_program(program, "--format=custom", f"--snapshot={snapshot}", f"--file={draft / DUMP}")
            rows, heads = database.row_counts(), database.heads_sha256()
            migrations, roles = database.migrations_applied(), database.roles_granted()
        (draft / DIGESTS).mkdir()
        for path in listed:
            shutil.copy2(path, draft / DIGESTS)
        files = copy_files(draft, earlier)
        manifest = Manifest(
            form=FORM,
            taken_at=now,
            postgresql=server_major(),
            migrations=migrations,
            roles=roles,
            rows=rows,
            files=files,
            bytes=sum(path.stat().st_size for path in draft.rglob("*") if path.is_file()),
            digests=[path.name for path in listed],
            heads=heads,
        )
        write_manifest(draft, manifest)
        seal(draft)
    return manifest


@contextmanager
def _draft(folder: Path) -> Iterator[Path]:
    """A hidden folder beside the one wanted, which takes its name at the end and is gone if that is not reached."""
    try:
        if folder.exists() and any(folder.iterdir()):
            raise BackupRefusedError(f"{folder} is not empty; name a folder that is not there yet")
        draft = Path(tempfile.mkdtemp(prefix=f".{folder.name}.part-", dir=folder.parent))
        try:
            yield draft
            _make_durable(draft)
            draft.rename(folder)
        finally:
            shutil.rmtree(draft, ignore_errors=True)
    except OSError as why:
        raise BackupRefusedError(f"{folder} cannot be written: {why.strerror or why}") from why


def _make_durable(draft: Path) -> None:
    """Sync what is not durable yet, which copied files are; then the folders' own names."""
    for path in (*draft.glob("*"), *draft.glob(f"{DIGESTS}/*"), draft, draft.parent):
        opened = os.open(path, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)


def _refuse_role() -> None:
    if not database.tables():
        raise BackupRefusedError("the database has no tables; there is nothing to back up")
    if names := database.not_owned():
        raise not_owner(names)


def _refuse_without_room(folder: Path, of_files: int, digests: list[Path]) -> None:
    needed = database.size() + sum(path.stat().st_size for path in digests)
    needed += of_files if settings.FILE_BUCKET is None else 0
    free = shutil.disk_usage(folder.parent).free
    if free < needed:
        raise BackupRefusedError(
            f"{folder.parent} has {_mb(free)} MB free, the backup may need {_mb(needed)} MB; make room, "
            "or name another disk"
        )


def _mb(count: int) -> str:
    return f"{count / 1_000_000:,.1f}"
