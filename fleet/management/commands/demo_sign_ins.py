"""Prints who signs in to the demo, and three commands to try."""

from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from fleet.demo_sign_ins import PASSWORD, PEOPLE

TRY = """
Try it (a second terminal; every line can be pasted as it stands):

  TOKEN=$(curl -s {address}/api/v1/tokens -H 'Content-Type: application/json' \\
    -d '{{"username": "iris", "password": "{password}", "device": "first try"}}' \\
    | python3 -c 'import json, sys; print(json.load(sys.stdin)["token"])')

  curl -s "{address}/api/v1/walk?tractor=NL-15&trailer=LR-46" -H "Authorization: Bearer $TOKEN" | python3 -m json.tool

  curl -s "{address}/api/v1/yard?unit=NL-15&unit=LR-46&unit=CU-46" -H "Authorization: Bearer $TOKEN" \\
    | python3 -m json.tool

A day of the demo carrier, each step in plain words:  make replay DAY=5
"""


class Command(BaseCommand):
    """`manage.py demo_sign_ins --address http://127.0.0.1:8000`."""

    help = __doc__

    def add_arguments(self, parser: CommandParser) -> None:
        """Take where the demo answers."""
        parser.add_argument("--address", default="http://127.0.0.1:8000")

    def handle(self, *_: Any, **options: Any) -> None:
        """Print."""
        self.stdout.write(f"\nSign in with the password {PASSWORD} as\n")
        for role, username in PEOPLE.items():
            self.stdout.write(f"  {username:<8} {role}")
        self.stdout.write(TRY.format(address=options["address"], password=PASSWORD))
