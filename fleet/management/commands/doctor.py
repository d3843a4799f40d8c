"""`manage.py doctor`: what is wrong with this installation and what to do; to be run where the worker runs."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from common import clock
from fleet.management.doctor.examination import examine


class Command(BaseCommand):
    """Prints a line for each thing that was looked at, and one for each that is wrong; leaves with 1 for any."""

    help = "Say in plain words what is wrong with this installation, and what to do. Changes nothing."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--certificate", metavar="HOST[:PORT]", help="look at the certificate shown there, too")

    def handle(self, *, certificate: str | None, **_options: Any) -> None:
        """Print. CommandError with the number of what is wrong."""
        wrong = 0
        for name, diagnoses in examine(certificate_of=certificate, now=clock.now()):
            if diagnoses is None:
                self.stdout.write(f"-      {name}: not looked at")
            elif not diagnoses:
                self.stdout.write(f"ok     {name}")
            else:
                wrong += len(diagnoses)
                for diagnosis in diagnoses:
                    self.stdout.write(f"WRONG  {name}: {diagnosis}")
        if wrong:
            raise CommandError(f"{wrong} things are wrong" if wrong > 1 else "one thing is wrong")
