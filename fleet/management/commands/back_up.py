"""`manage.py back_up FOLDER`: write database, files and digests of one moment into a new folder."""

import signal
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from common import clock
from common.errors import DomainError
from fleet.management.acting import worded
from fleet.services.operation.backups.make import back_up
from fleet.services.operation.backups.refusal import BackupRefusedError


class Command(BaseCommand):
    """To be run as the owner of the tables, while the service works on. How to restore stands in docs/operation.md."""

    help = "Back up database, files and digests of one moment into a folder that is not there yet."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("folder", type=Path)
        parser.add_argument(
            "--earlier",
            type=Path,
            metavar="FOLDER",
            help="a backup on the same disk: files that it has are linked to it",
        )

    def handle(self, *, folder: Path, earlier: Path | None, **_options: Any) -> None:
        """Print what the backup holds. CommandError, and no folder, when there is none."""
        signal.signal(signal.SIGTERM, lambda *_: sys.exit(1))  # the half-made folder goes
        try:
            made = back_up(folder=folder, digests=settings.HISTORY_DIGEST_DIR, earlier=earlier, now=clock.now())
        except BackupRefusedError as why:
            raise CommandError(f"no backup: {why}") from why
        except DomainError as why:
            raise worded(why, "en") from why
        self.stdout.write(
            f"{folder}: backup of {made.taken_at:%Y-%m-%d %H:%M:%S} UTC, {made.bytes / 1_000_000:,.1f} MB"
        )
        self.stdout.write(f"rows: {sum(made.rows.values()):,} in {len(made.rows)} tables")
        self.stdout.write(f"digests: {len(made.digests)}")
        self.stdout.write("files: " + (", ".join(f"{count:,} {kept}" for kept, count in made.files.items()) or "none"))
