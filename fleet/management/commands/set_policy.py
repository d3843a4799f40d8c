"""`manage.py set_policy KEY VALUE --by USERNAME --reason …`: for an owner who works alone. The decision is flagged."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from common import clock
from common.errors import DomainError
from fleet.enums import Role
from fleet.management.acting import person_acting, worded
from fleet.services.carrier.policies import set_policy

DECIDERS = frozenset({Role.ADMINISTRATOR, Role.COMPLIANCE})


class Command(BaseCommand):
    """Decides something for the carrier from now on, `small_carrier_lift` by the one who lifts among it."""

    help = "Set a policy at the console, from now on; it is flagged."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("key", help="as in GET /policies, such as small_carrier_lift")
        parser.add_argument("value", help="as JSON, such as true")
        parser.add_argument("--by", required=True, metavar="USERNAME", help="who decides: a name to sign in with")
        parser.add_argument("--reason", required=True, help="why it is set here")

    def handle(self, *, key: str, value: str, by: str, reason: str, **_options: Any) -> None:
        """Set it and say so. CommandError when it is refused."""
        now = clock.now()
        actor = person_acting(by, now)
        if DECIDERS.isdisjoint(actor.current_roles):
            raise CommandError(f"{by} holds none of the roles {', '.join(sorted(DECIDERS))}")
        if not reason.strip():
            raise CommandError("say why it is set here")
        try:
            decided = json.loads(value)
        except ValueError as error:
            raise CommandError(f"{value} is no JSON: {error}") from error
        try:
            set_policy(key=key, value=decided, valid_from=None, reason=reason, actor=actor, now=now, from_console=True)
        except DomainError as error:
            raise worded(error, actor.language) from error
        self.stdout.write(f"{key} is {value} from now on, flagged as set at the console.")
