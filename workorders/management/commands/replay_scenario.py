"""Plays days of the demo scenario over HTTP against a running demo, each step in plain words."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from fixtures.scenario.client import UnexpectedAnswerError
from fixtures.scenario.days import DAYS
from fixtures.scenario.stage import Stage
from fleet.demo_sign_ins import PASSWORD


class Command(BaseCommand):
    """`manage.py replay_scenario --day 5`; without a day it lists them."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take the days and where the demo answers."""
        parser.add_argument("--day", type=int, action="append", choices=sorted(DAYS), dest="days", default=[])
        parser.add_argument("--all", action="store_true", help="every day, in order")
        parser.add_argument("--address", default="http://127.0.0.1:8000")

    def handle(self, *_: Any, **options: Any) -> None:
        """Play, and stop with the first thing that is not as the scenario says."""
        days = sorted(DAYS) if options["all"] else options["days"]
        if not days:
            for number, day in DAYS.items():
                self.stdout.write(f"{number:>3}  {day.title}")
        stage = Stage(options["address"], PASSWORD, self.stdout.write)
        for number in days:
            self.stdout.write(f"\n{DAYS[number].title}\n")
            try:
                DAYS[number].play(stage)
            except UnexpectedAnswerError as error:
                raise CommandError(f"day {number}: {error}") from error
            except (OSError, ValueError) as error:
                raise CommandError(f"{options['address']} cannot be asked: {error}") from error
