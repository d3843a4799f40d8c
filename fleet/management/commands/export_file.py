"""`manage.py export_file NL-12`: the auditor's file of a unit (49 CFR 396.3), as a ZIP."""

from argparse import ArgumentParser
from datetime import date
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from common import clock
from common.errors import DomainError
from fleet.management.acting import worded, writing
from fleet.selectors.units.lookup import resolve_unit
from fleet.services.records.unit_file.make import UnitFileRequest, make_unit_file, save_as


class Command(BaseCommand):
    """Writes a unit's records, scans, photos and one PDF, with a script that checks them."""

    help = "Write the auditor's file of a unit: number, number@owner or key."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("unit")
        parser.add_argument("--out", type=Path, metavar="FILE", help="default: a name of its own in this folder")
        parser.add_argument("--from", dest="since", type=date.fromisoformat, metavar="DAY", help="first day, included")
        parser.add_argument("--to", dest="until", type=date.fromisoformat, metavar="DAY", help="last day, included")
        parser.add_argument("--language", choices=sorted(dict(settings.LANGUAGES)), default="en")

    def handle(self, **options: Any) -> None:
        """Write the file and say where it is. CommandError for an unknown unit or days turned round."""
        unit = resolve_unit(options["unit"])
        if unit is None:
            raise CommandError(f"there is no unit {options['unit']}")
        requested = UnitFileRequest(options["since"], options["until"], options["language"])
        try:
            made = make_unit_file(unit_id=unit.pk, requested=requested, actor=None, now=clock.now())
        except DomainError as refused:
            raise worded(refused, "en") from refused
        out = options["out"] or Path(made.name)
        with writing(out):
            save_as(made, out)
        self.stdout.write(f"{out}: manifest SHA-256 {made.manifest_sha256}")
