"""`manage.py grant_role USERNAME ROLE --by USERNAME --reason …`: for a sole administrator, whom nobody second can ask.

The role is flagged: `console_reason` stands on it wherever roles are read.
"""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from common import clock
from common.errors import DomainError
from fleet.enums import Role
from fleet.management.acting import person_acting, worded
from fleet.models import Site
from fleet.selectors.carrier.carrier import carriers_day
from fleet.services.people.roles import grant_role


class Command(BaseCommand):
    """Gives a role from today on, also to the one who asks."""

    help = "Give a role at the console, from today on; it is flagged."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("username", help="whose role it will be: a name to sign in with")
        parser.add_argument("role", choices=[role.value for role in Role])
        parser.add_argument("--site", metavar="CODE", help="at one site; everywhere without it")
        parser.add_argument("--by", required=True, metavar="USERNAME", help="the administrator: a name to sign in with")
        parser.add_argument("--reason", required=True, help="why it is given here")

    def handle(self, *, username: str, role: str, site: str | None, by: str, reason: str, **_options: Any) -> None:
        """Give it and say so. CommandError when it is refused."""
        now = clock.now()
        actor, person = person_acting(by, now), person_acting(username, now)
        at = Site.objects.filter(code=site).first() if site else None
        if site and at is None:
            raise CommandError(f"there is no site {site}")
        if not reason.strip():
            raise CommandError("say why it is given here")
        try:
            grant_role(
                person_id=person.pk,
                role=Role(role),
                site_id=None if at is None else at.pk,
                starts_on=carriers_day(now),
                ends_on=None,
                actor=actor,
                now=now,
                console_reason=reason.strip(),
            )
        except DomainError as error:
            raise worded(error, actor.language) from error
        self.stdout.write(f"{person.name} is {role} from today on, flagged as given at the console.")
