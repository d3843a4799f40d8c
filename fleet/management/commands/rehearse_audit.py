"""`manage.py rehearse_audit --units 5 --seed 28`: what an auditor would find in units pulled at random."""

import secrets
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand

from common import clock, messages
from common.errors import DomainError
from common.messages import Message
from fleet.management.acting import at_least_one, worded
from fleet.selectors.records.rehearsals import rehearse


class Command(BaseCommand):
    """Lists the gaps by unit, each with the section of its rule."""

    help = "Pull units at random, of every kind, and list the gaps in their files by rule."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--units", type=at_least_one, default=5)
        parser.add_argument("--seed", type=int, default=None)

    def handle(self, *, units: int, seed: int | None, **_options: Any) -> None:
        """Print every unit with its gaps, then how many there are. CommandError without a carrier."""
        drawn = secrets.randbelow(2**31 - 1) if seed is None else seed
        try:
            found = rehearse(count=units, seed=drawn, now=clock.now())
        except DomainError as refused:
            raise worded(refused, "en") from refused
        for unit, gaps in found.pulled:
            self.stdout.write(f"{unit}" if any(gap.shown for gap in gaps) else f"{unit}: no gaps")
            for gap in gaps:
                mark = "gap" if gap.shown else "have at hand"
                says = messages.render(Message(gap.code, gap.facts), "en")
                self.stdout.write(f"  {mark}, {gap.section}: {says} {gap.link}")
        count = sum(gap.shown for _, gaps in found.pulled for gap in gaps)
        self.stdout.write(f"{count} gaps in {len(found.pulled)} files; seed {drawn}")
