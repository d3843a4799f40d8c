"""There is no superuser here: says what to use in the place of Django's command of that name."""

from argparse import ArgumentParser
from typing import Any, NoReturn

from django.core.management.base import BaseCommand, CommandError


class Command(BaseCommand):
    """Refuses, whatever it is given."""

    help = "Not used here: see found_carrier and grant_role."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--username")
        parser.add_argument("--noinput", "--no-input", action="store_true")

    def handle(self, **_options: Any) -> NoReturn:
        """Say what to use."""
        raise CommandError(
            "There is no superuser here. `manage.py found_carrier` records the carrier and its first administrator; "
            "administrators add further people (POST /people) and give them roles, at the console with "
            "`manage.py grant_role`. `manage.py changepassword` is for a lost password, "
            "`manage.py make_administrator` for when no administrator is left."
        )
