"""`manage.py record_recovery --to INSTANT --by WHO`: note that PostgreSQL was recovered to an earlier instant."""

from argparse import ArgumentParser, ArgumentTypeError
from datetime import UTC, datetime
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from common import clock
from fleet.services.operation.backups.record import note_recovery
from fleet.services.operation.backups.refusal import BackupRefusedError


class Command(BaseCommand):
    """To be run as the owner of the tables, once the database is back and before web, worker and beat are started."""

    help = "Note that the database was recovered to an earlier instant; `restore` notes itself."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--to",
            required=True,
            type=_instant,
            metavar="INSTANT",
            help="as 2026-11-30T12:00:00; UTC without an offset",
        )
        parser.add_argument("--by", required=True, metavar="WHO", help="who recovered; kept on record")

    def handle(self, *, to: datetime, by: str, **_options: Any) -> None:
        """Print what was noted. CommandError for an instant in the future."""
        try:
            noted = note_recovery(as_of=to, digests=settings.HISTORY_DIGEST_DIR, by=by, now=clock.now())
        except BackupRefusedError as why:
            raise CommandError(f"nothing noted: {why}") from why
        self.stdout.write(f"noted: {noted}")


def _instant(words: str) -> datetime:
    try:
        instant = datetime.fromisoformat(words)
        return (instant if instant.tzinfo else instant.replace(tzinfo=UTC)).astimezone(UTC)
    except (ValueError, OverflowError) as why:
        raise ArgumentTypeError(f"{words!r} is no instant like 2026-11-30T12:00:00") from why
