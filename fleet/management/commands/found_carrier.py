"""Starts an installation: the carrier and its first administrator. What is not given is asked for at a terminal."""

import sys
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser

from common import clock
from common.errors import DomainError
from fleet.management.acting import password_given, worded
from fleet.services.founding import found_carrier

QUESTIONS = {
    "name": ("The carrier's name", "Ninefold Larder Lines"),
    "usdot": ("The carrier's USDOT number", "digits only"),
    "time_zone": ("The zone in which the carrier counts its days", "America/Chicago"),
    "person": ("The first administrator's name", "Ada Min"),
    "username": ("The administrator's name at sign-in", "ada"),
}
"""What is asked, with an example."""

NEXT = """
{name} is founded. {person} signs in as {username}:

  curl -s {address}/api/v1/tokens -H 'Content-Type: application/json' \\
    -d '{{"username": "{username}", "password": "…", "device": "first desk"}}'

What comes next stands in docs/operation.md, "Onboarding a carrier": sites, people, units and papers by table, roles,
first passwords. `manage.py doctor` says what the installation still lacks.
"""


class Command(BaseCommand):
    """Takes every answer as an option as well; the password is typed twice, or piped in."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take what the two rows need."""
        for name, (meaning, example) in QUESTIONS.items():
            parser.add_argument(f"--{name.replace('_', '-')}", help=f"{meaning} ({example})")

    def handle(self, **options: Any) -> None:
        """Ask for what is missing, record both, and say what comes next; or say why not."""
        given = {name: options[name] or "" for name in QUESTIONS}
        missing = [name for name, answer in given.items() if not answer]
        if missing and not sys.stdin.isatty():
            wanted = ", ".join(f"--{name.replace('_', '-')}" for name in missing)
            raise CommandError(f"There is no terminal to ask at: give {wanted}, and pipe the password in")
        for name in missing:
            given[name] = _asked(*QUESTIONS[name])
        try:
            found_carrier(
                carrier={
                    "name": given["name"],
                    "usdot_number": given["usdot"],
                    "time_zone": given["time_zone"],
                },
                administrator={"username": given["username"].lower(), "name": given["person"]},
                password=password_given(f"Password of {given['person']}: "),
                now=clock.now(),
            )
        except DomainError as error:
            raise worded(error, "en") from error
        self.stdout.write(NEXT.format(**{**given, "username": given["username"].lower()}, address="https://HOST"))


def _asked(meaning: str, example: str) -> str:
    """An answer typed at the terminal, asked for until there is one."""
    while True:
        if answer := input(f"{meaning} ({example}): ").strip():
            return answer
