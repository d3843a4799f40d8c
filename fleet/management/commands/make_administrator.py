"""`manage.py make_administrator USERNAME --reason …`: when no administrator can sign in any more.

The role is flagged, as one given by `grant_role` is; the password that is typed has to be changed after signing in.
"""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from common import clock
from common.errors import DomainError
from fleet.management.acting import password_given, worded
from fleet.services.carrier.founding import make_administrator


class Command(BaseCommand):
    """Gives somebody who signs in, or somebody new, the role of administrator and a new password."""

    help = "Make somebody an administrator at the console, with a new password, when no other can; it is flagged."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username", help="a name to sign in with, on record or new")
        parser.add_argument("--name", default="", help="the person's name, for one who is not on record")
        parser.add_argument("--reason", required=True, help="why it is given here")

    def handle(self, *, username: str, name: str, reason: str, **_options: Any) -> None:
        """Give both and say what follows. CommandError when it is refused."""
        if not reason.strip():
            raise CommandError("say why it is given here")
        try:
            person = make_administrator(
                username=username,
                name=name.strip(),
                password=password_given(f"New password of {username}: "),
                reason=reason.strip(),
                now=clock.now(),
            )
        except DomainError as error:
            if error.code == "person_unknown":
                raise CommandError(f"nobody signs in as {username}; to add somebody, give --name as well") from error
            raise worded(error, "en") from error
        self.stdout.write(
            f"{person.name} is administrator, flagged as given at the console, signed out everywhere, and sets an own "
            "password after the next sign-in."
        )
