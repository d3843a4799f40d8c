"""Starts an installation: the carrier and its first administrator. What is not given is asked for at a terminal."""

import sys
from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.core.validators import validate_email

from common import clock
from common.errors import DomainError
from fleet.management.acting import password_given, worded
from fleet.services.carrier.founding import found_carrier

QUESTIONS = {
    "name": ("The carrier's name", None),
    "usdot": ("The carrier's USDOT number, digits only", None),
    "time_zone": ("The zone in which the carrier counts its days", "America/Chicago"),
    "person": ("The first administrator's name", None),
    "username": ("The administrator's name at sign-in", None),
    "email": ("The administrator's mail address, if any", ""),
}
"""What is asked, and what holds without an answer."""

NEXT = """
{name} is founded. {person} signs in as {username}:

  curl -s https://HOST/api/v1/tokens -H 'Content-Type: application/json' \\
    -d '{{"username": "{username}", "password": "…", "device": "first desk"}}'

What comes next stands in docs/operation.md, "Onboarding a carrier": sites, people, units and documents by table, roles,
first passwords. `manage.py doctor` says what the installation still lacks.
"""


class Command(BaseCommand):
    """Takes every answer as an option as well; the password is typed twice, or piped in."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        for name, (meaning, default) in QUESTIONS.items():
            parser.add_argument(f"--{name.replace('_', '-')}", help=f"{meaning} ({default})" if default else meaning)

    def handle(self, **options: Any) -> None:
        """Ask for what is missing, record both, and say what comes next; or say why not."""
        clearance_request = sys.stdin.isatty()
        given = {
            name: options[name] or (None if clearance_request else default) for name, (_, default) in QUESTIONS.items()
        }
        missing = ", ".join(f"--{name.replace('_', '-')}" for name, answer in given.items() if answer is None)
        if missing and not clearance_request:
            raise CommandError(f"There is no terminal to ask at: give {missing}, and pipe the password in")
        answers = {name: _asked(*QUESTIONS[name]) if answer is None else answer for name, answer in given.items()}
        answers["username"] = answers["username"].lower()
        _refuse_malformed(answers["email"])
        try:
            found_carrier(
                carrier={"name": answers["name"], "usdot_number": answers["usdot"], "time_zone": answers["time_zone"]},
                administrator={"username": answers["username"], "name": answers["person"], "email": answers["email"]},
                password=password_given(f"Password of {answers['person']}: "),
                now=clock.now(),
            )
        except DomainError as error:
            raise worded(error, "en") from error
        self.stdout.write(NEXT.format(**answers))


def _refuse_malformed(address: str) -> None:
    """CommandError for what is no mail address."""
    try:
        if address:
            validate_email(address)
    except ValidationError as error:
        raise CommandError(f"{address} is no mail address") from error


def _asked(meaning: str, default: str | None) -> str:
    """An answer typed at the terminal, asked for until there is one."""
    while True:
        answer = input(f"{meaning} [{default}]: " if default else f"{meaning}: ").strip()
        if answer or default is not None:
            return answer or default or ""
