"""Starts an installation: the carrier and its first administrator. The password is asked for, or read from a pipe."""

from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from common import clock
from common.errors import DomainError
from fleet.management.acting import password_given, worded
from fleet.services.founding import found_carrier


class Command(BaseCommand):
    """`manage.py found_carrier --name … --usdot … --username … --person …`, the password typed or piped in."""

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
                password=password_given("The administrator's password: "),
                now=clock.now(),
            )
        except DomainError as error:
            raise worded(error, "en") from error
        self.stdout.write(f"{options['name']} is founded; {options['username']} may sign in.")
