"""`manage.py purge_records`: delete what is past its retention, or list it first."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DEFAULT_DB_ALIAS, ProgrammingError, connections
from psycopg.errors import InsufficientPrivilege

from common import clock
from fleet.services.records.purging.functions import deleted_along
from fleet.services.records.purging.job import due_records, purge_records


class Command(BaseCommand):
    """Does what the daily job does; the database decides what may go."""

    help = "Delete what is past its retention, held by nobody and wanted for no repair."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--dry-run", action="store_true", help="list what would be deleted and delete nothing")

    def handle(self, *, dry_run: bool, **_options: Any) -> None:
        """Print a line for each record that would go and their number, or the number of those that went."""
        try:
            self._purge(dry_run=dry_run)
        except ProgrammingError as error:
            if not isinstance(error.__cause__, InsufficientPrivilege):
                raise
            role = connections[DEFAULT_DB_ALIAS].settings_dict["USER"]
            raise CommandError(
                f"{role} may not delete, nor list what would be: run this where the worker runs, which has "
                "PURGE_DATABASE_URL (compose: docker-compose exec worker python manage.py purge_records)"
            ) from error

    def _purge(self, *, dry_run: bool) -> None:
        if dry_run:
            count = 0
            for row in due_records(now=clock.now()):
                count += 1
                event = row.event or "-"
                along = deleted_along(row.event)
                line = f"{row.unit_name or '-'} {row.what} {event} {row.record} {row.record_kind} {row.retained_until}"
                self.stdout.write(line if along is None else f"{line} with {along} {row.subject}")
            self.stdout.write(f"{count} records would be deleted; nothing was")
            return
        purged = purge_records(now=clock.now())
        self.stdout.write(f"{purged.records} records deleted by run {purged.run}, {purged.files} files removed")
