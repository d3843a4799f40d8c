"""Counting attempts to sign in, by name and by address, so that guessing is slow. Passwords are looked at elsewhere."""

from datetime import datetime, timedelta

from django.db import transaction

from common.errors import TooOften
from fleet.models import SignInAttempt

WINDOW = timedelta(minutes=15)
LIMITS = {"name": 10, "address": 60}
"""Most attempts in a window: by name against guessing one person's password, by address against trying many names.

Our own figures: a yard's tablets share one address at the change of shift.
"""


def count_attempt(*, name: str, address: str, now: datetime) -> None:
    """Count one attempt for both, committed at once; TooOften `sign_in_too_often` when either has had its share."""
    for subject, limit in _subjects(name, address):
        with transaction.atomic():
            SignInAttempt.objects.get_or_create(subject=subject, defaults={"window_starts_at": now})
            row = SignInAttempt.objects.select_for_update(no_key=True).get(subject=subject)
            if now >= row.window_starts_at + WINDOW:
                row.window_starts_at, row.failures = now, 0
            row.failures += 1
            row.save(update_fields=["window_starts_at", "failures"])
        if row.failures > limit:
            wait = row.window_starts_at + WINDOW - now
            raise TooOften("sign_in_too_often", retry_after=max(int(wait.total_seconds()), 1))


def forget_attempts(*, name: str, address: str) -> None:
    """Take a successful attempt off the counts: all of the name's, one of the address's."""
    (by_name, _), (by_address, _) = _subjects(name, address)
    SignInAttempt.objects.filter(subject=by_name).delete()
    row = SignInAttempt.objects.select_for_update(no_key=True).filter(subject=by_address).first()
    if row is not None:
        row.failures = max(row.failures - 1, 0)
        row.save(update_fields=["failures"])


def forget_old_attempts(*, now: datetime) -> int:
    """Remove counts whose window is over; how many there were."""
    removed, _ = SignInAttempt.objects.filter(window_starts_at__lt=now - WINDOW).delete()
    return removed


def _subjects(name: str, address: str) -> tuple[tuple[str, int], tuple[str, int]]:
    """What is counted, cut to what a name can be long; both in one order, so that nobody waits in a circle."""
    return (f"name:{name.lower()[:64]}", LIMITS["name"]), (f"address:{address[:64]}", LIMITS["address"])
