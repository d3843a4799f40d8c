"""`manage.py purge_requests`: forget the answers kept for repeated requests for longer than 90 days."""

from typing import Any

from django.core.management.base import BaseCommand

from common import clock
from fleet.services.kept_answers import forget_old_answers


class Command(BaseCommand):
    """Deletes old idempotency records; the beat does the same every day."""

    help = "Delete the answers kept for repeated requests that are older than 90 days."

    def handle(self, **_options: Any) -> None:
        """Print how many were forgotten."""
        self.stdout.write(f"{forget_old_answers(now=clock.now())} kept answers forgotten")
