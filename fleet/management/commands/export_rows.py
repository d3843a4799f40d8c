"""`manage.py export_rows FILE`: every table on record as CSV in one ZIP, however long it takes; secrets left out."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand

from common import clock
from common.tables.archive import zip_chunks
from fleet.api.records.tables import everything, note
from fleet.enums import Role
from fleet.management.acting import writing
from fleet.selectors.records.exports.tables import tables_for


class Command(BaseCommand):
    """Writes the archive that `GET /exports/everything.zip` gives a compliance manager."""

    help = "Write every table on record as CSV into one ZIP."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", type=Path)

    def handle(self, *, file: Path, **_options: Any) -> None:
        """Write it beside its name first, so that no half archive stands under it."""
        part = file.with_name(f"{file.name}.part")
        tables = tables_for(frozenset({Role.COMPLIANCE, Role.ADMINISTRATOR}))
        with writing(file):
            with part.open("wb") as written:
                for piece in zip_chunks(everything(tables, note()), clock.now()):
                    written.write(piece)
            part.replace(file)
        self.stdout.write(f"{len(tables)} tables in {file}")
