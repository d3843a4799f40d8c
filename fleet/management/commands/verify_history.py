"""`manage.py verify_history`: print every fault found in the units' histories and leave with 1 if there is any."""

from argparse import ArgumentParser
from datetime import datetime
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from fleet.models import HistoryEntry, JobRun
from fleet.services.records.digests import digest_paths
from fleet.services.records.verification.verify import verify_history

WRITES = "write_history_digest"
"""The job that writes a digest every day."""


class Command(BaseCommand):
    """Checks the histories against themselves, the records that they tell of, and the digests kept outside."""

    help = "Check every unit's history and what it tells of; print what was changed or removed, leave with 1 then."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--digests", type=Path, metavar="DIR", help="folder of the daily digests (default: HISTORY_DIGEST_DIR)"
        )

    def handle(self, *, digests: Path | None, **_options: Any) -> None:
        """Print the faults as they are found, then what was looked at. CommandError when there was a fault."""
        folder = self._folder(digests)
        check = verify_history(digests=folder)
        for discrepancy in check:
            self.stdout.write(str(discrepancy))
        compared = f"{len(digest_paths(folder))} digests of {folder}" if folder else "no digests, there are none yet"
        self.stdout.write(
            f"{check.entries} entries of {check.units} units, {check.purged} of them purged; compared with {compared}"
        )
        for restore in check.restores:
            self.stdout.write(restore)
        if check.restores:
            self.stdout.write(
                f"{check.explained} lines of digests tell of entries that a restore left behind: no fault"
            )
        faults = check.discrepancies
        if folder is None and (written := self._written_at()):
            self.stdout.write(
                f"a digest was written on {written:%Y-%m-%d}, and there is none in {settings.HISTORY_DIGEST_DIR}"
            )
            faults += 1
        if faults:
            raise CommandError(f"{faults} faults found", returncode=1)
        self.stdout.write(self.style.SUCCESS("no fault found"))

    def _folder(self, given: Path | None) -> Path | None:
        folder = given or settings.HISTORY_DIGEST_DIR
        if digest_paths(folder):
            return folder
        if given is not None:
            raise CommandError(f"there are no digests in {given}", returncode=2)
        return None

    def _written_at(self) -> datetime | None:
        """When a digest was last written of a history that there was by then, as the database knows it."""
        run = JobRun.objects.filter(name=WRITES).first()
        written = None if run is None else run.ended_well_at
        return written if written and HistoryEntry.objects.filter(recorded_at__lt=written).exists() else None
