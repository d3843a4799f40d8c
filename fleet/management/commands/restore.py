"""`manage.py restore FOLDER --by WHO`: load a backup into an empty database, and verify what came of it."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from common import clock
from common.errors import DomainError
from fleet.management.acting import worded
from fleet.services.operation.backups.refusal import BackupRefusedError
from fleet.services.operation.backups.restore import restore
from fleet.services.records.verification.verify import verify_history


class Command(BaseCommand):
    """To be run as the owner of the tables, with web, worker and beat stopped."""

    help = "Restore a backup into an empty database, with its files and digests, and verify it."
    requires_system_checks = ()

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path)
        parser.add_argument("--by", required=True, metavar="WHO", help="who restores; kept on record")

    def handle(self, *, folder: Path, by: str, **_options: Any) -> None:
        """Print what was restored and what is wrong with it. CommandError when something is, or when it is refused."""
        digests = settings.HISTORY_DIGEST_DIR
        try:
            restored = restore(folder=folder, digests=digests, by=by, now=clock.now())
        except BackupRefusedError as why:
            raise CommandError(f"nothing restored: {why}") from why
        except OSError as why:
            raise CommandError(f"nothing restored: {why.filename or folder}: {why.strerror or why}") from why
        except DomainError as why:
            raise worded(why, "en") from why
        manifest, wrong = restored.manifest, list(restored.differences)
        check = verify_history(digests=digests)
        wrong += [str(discrepancy) for discrepancy in check]
        for line in wrong:
            self.stdout.write(line)
        self.stdout.write(
            f"restored as of {manifest.taken_at:%Y-%m-%d %H:%M:%S} UTC: {sum(manifest.rows.values()):,} rows in "
            f"{len(manifest.rows)} tables, {sum(manifest.files.values()):,} files, {check.entries:,} entries of history"
        )
        if wrong:
            raise CommandError(f"restored, but {len(wrong)} things are not as the backup says", returncode=1)
        self.stdout.write(self.style.SUCCESS("rows, files and histories are as they were backed up"))
