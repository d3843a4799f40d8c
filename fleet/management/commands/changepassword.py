"""`manage.py changepassword USERNAME`: a new password at the server's console, for whoever lost theirs.

In the place of Django's command of that name: it ends every session, and the person has to set an own password first.
"""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from common import clock
from common.errors import DomainError
from fleet.management.acting import password_given, person_acting, worded
from fleet.services.people.people import set_password_at_console


class Command(BaseCommand):
    """Gives a password that is typed, or piped in."""

    help = "Give somebody a new password; every device must sign in again, and then set an own password."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username", help="a name to sign in with")

    def handle(self, *, username: str, **_options: Any) -> None:
        """Set it and say what follows. CommandError when it is refused."""
        now = clock.now()
        person = person_acting(username, now)
        password = password_given(f"New password of {username}: ")
        try:
            set_password_at_console(person_id=person.pk, password=password, now=now)
        except DomainError as error:
            raise worded(error, "en") from error
        self.stdout.write(f"{person.name} is signed out everywhere and sets an own password after the next sign-in.")
