"""`manage.py first_passwords --by USERNAME [NAME …]`: a password for who has a name to sign in with and none yet.

Printed once, as CSV, to be handed out on paper or in person: it serves for one sign-in, after which an own one is set.
"""

import csv
import secrets
from argparse import ArgumentParser
from typing import Any

from django.contrib.auth.hashers import UNUSABLE_PASSWORD_PREFIX
from django.core.management.base import BaseCommand, CommandError, OutputWrapper

from common import clock
from common.errors import DomainError
from fleet.management.acting import person_acting, worded
from fleet.models import Person
from fleet.services.people.people import set_password

LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
"""None that is taken for another when it is copied from document."""
GROUPS, GROUP = 4, 4


class Command(BaseCommand):
    """Gives passwords person by person: those that were printed hold, wherever it is broken off."""

    help = "Give a first password to each person who has a name to sign in with and no password; prints them once."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("usernames", nargs="*", help="for these alone; for everybody without a password if none")
        parser.add_argument("--by", required=True, metavar="USERNAME", help="the administrator: a name to sign in with")

    def handle(self, *, usernames: list[str], by: str, **_options: Any) -> None:
        """Print name, name to sign in with and password. CommandError for somebody who may not give them."""
        now = clock.now()
        actor = person_acting(by, now)
        without = Person.objects.filter(
            username__isnull=False, left_on__isnull=True, password__startswith=UNUSABLE_PASSWORD_PREFIX
        )
        wanted = {username.lower() for username in usernames}
        if wanted:
            without = without.filter(username__in=wanted)
            if others := sorted(wanted - set(without.values_list("username", flat=True))):
                raise CommandError(
                    f"not on record, or with a password already: {', '.join(others)}; see changepassword"
                )
        rows = csv.writer(_Lines(self.stdout), lineterminator="")
        rows.writerow(("name", "username", "password"))
        count = 0
        for person in list(without.order_by("name", "pk")):
            password = "-".join("".join(secrets.choice(LETTERS) for _ in range(GROUP)) for _ in range(GROUPS))
            try:
                set_password(person_id=person.pk, version=person.version, password=password, actor=actor, now=now)
            except DomainError as error:
                raise worded(error, actor.language) from error
            rows.writerow((person.name, person.username, password))
            count += 1
        self.stderr.write(f"{count} passwords given; each serves until its person has signed in and set an own one.")


class _Lines:
    """Lets a CSV writer write to a command's output."""

    def __init__(self, output: OutputWrapper) -> None:
        self.output = output

    def write(self, line: str) -> None:
        self.output.write(line)
