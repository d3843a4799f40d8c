"""Starts an installation: the carrier and its first administrator. The password is read from standard input."""

import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from common import clock
from common.errors import DomainError
from fleet.services.founding import found_carrier


class Command(BaseCommand):
    """`manage.py found_carrier --name … --usdot … --username … --person …`, password on standard input."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take what the two rows need."""
        parser.add_argument("--name", required=True, help="the carrier's name")
        parser.add_argument("--usdot", required=True, help="the carrier's USDOT number")
        parser.add_argument("--time-zone", default="America/Chicago", help="an IANA zone name")
        parser.add_argument("--username", required=True, help="the administrator's name at sign-in")
        parser.add_argument("--person", required=True, help="the administrator's name")

    def handle(self, *_: Any, **options: Any) -> None:
        """Record both, or say why not."""
        try:
            found_carrier(
                carrier={
                    "name": options["name"],
                    "usdot_number": options["usdot"],
                    "time_zone": options["time_zone"],
                },
                administrator={"username": options["username"].lower(), "name": options["person"]},
                password=sys.stdin.readline().rstrip("\n"),
                now=clock.now(),
            )
        except DomainError as error:
            raise CommandError(str(error)) from error
        self.stdout.write(f"{options['name']} is founded; {options['username']} may sign in.")
