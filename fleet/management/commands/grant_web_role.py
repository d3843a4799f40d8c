"""`manage.py grant_web_role`: give the web process's database role exactly what it needs."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from common.errors import Conflict, NotFound
from fleet.services.operation.database_roles import grant_web_role


class Command(BaseCommand):
    """To be run as the owner of the tables after every migration; the role itself must exist."""

    help = "Let a database role do the web process's work, and nothing that undoes what is kept append-only."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--role", required=True, metavar="NAME", help="an existing role that owns nothing")

    def handle(self, *, role: str, verbosity: int, **_options: Any) -> None:
        """Print how many tables of each sort there are; CommandError for a role that cannot be kept within it."""
        try:
            granted = grant_web_role(role=role)
        except NotFound as why:
            raise CommandError(f"there is no role {role!r}") from why
        except Conflict as why:
            raise CommandError(f"{role!r} is a superuser or owns tables; no grant would keep it from more") from why
        if verbosity > 0:
            self.stdout.write(
                f"{role} may work with {len(granted.ordinary)} tables and add to {len(granted.append_only)} more"
            )
