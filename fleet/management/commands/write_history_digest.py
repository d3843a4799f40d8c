"""`manage.py write_history_digest`: write the present day's digest of all histories, unless there is one."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand

from common import clock
from fleet.management.acting import writing
from fleet.services.records.digests import write_history_digest


class Command(BaseCommand):
    """Writes the digest that `verify_history` compares with; keep its folder away from the database's machine."""

    help = "Write today's digest of every unit's history (UTC day); a digest that is there is never written over."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--directory", type=Path, metavar="DIR", help="where to write it (default: HISTORY_DIGEST_DIR)"
        )

    def handle(self, *, directory: Path | None, **_options: Any) -> None:
        """Print the path of the digest, or that there was one."""
        folder = directory or Path(settings.HISTORY_DIGEST_DIR)
        with writing(folder):
            path = write_history_digest(directory=folder, now=clock.now())
        self.stdout.write(f"today's digest is in {path}" if path else "today's digest was there already")
