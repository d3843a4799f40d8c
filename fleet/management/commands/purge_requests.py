"""`manage.py purge_requests`: forget answers kept for 90 days, old attempts to sign in, and files without a row."""

from typing import Any

from django.core.management.base import BaseCommand

from common import clock
from fleet.services.records.expired import delete_leftovers


class Command(BaseCommand):
    """Removes what nobody needs any more; the beat does the same every day."""

    help = "Delete answers kept for 90 days, old attempts to sign in, and files without a row."

    def handle(self, **_options: Any) -> None:
        """Print how many were forgotten."""
        gone = delete_leftovers(now=clock.now())
        self.stdout.write(f"forgotten: {gone.answers} answers, {gone.attempts} attempts, {gone.files} files")
