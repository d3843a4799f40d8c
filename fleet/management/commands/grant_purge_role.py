"""`manage.py grant_purge_role`: give the role that purges the functions it needs, and no table."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from common.errors import Conflict, NotFound
from fleet.services.operation.database_roles import grant_purge_role


class Command(BaseCommand):
    """To be run as the owner of the tables after every migration; the role itself must exist."""

    help = "Let a database role delete what is past its retention, through functions that check, and nothing else."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--role", required=True, metavar="NAME", help="an existing role that owns nothing")

    def handle(self, *, role: str, verbosity: int, **_options: Any) -> None:
        """Print how many functions there are; CommandError for a role that cannot be kept within them."""
        try:
            functions = grant_purge_role(role=role)
        except NotFound as why:
            raise CommandError(f"there is no role {role!r}") from why
        except Conflict as why:
            raise CommandError(f"{role!r} is a superuser or owns tables; no grant would keep it from more") from why
        if verbosity > 0:
            self.stdout.write(f"{role} may call {functions} functions and read no table")
