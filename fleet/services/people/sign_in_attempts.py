"""Counting attempts to sign in, so that guessing is slow and no stranger locks anybody out. Looks at no password.

By address first: one at its limit counts nothing against any name. Then by name at that address. A name alone is never
locked; when many addresses guess at it, each is given fewer guesses. A device that signed this very person in before is
counted by itself alone, wherever it is.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import IPv4Address, ip_address, ip_network
from uuid import UUID

from django.db import transaction
from django.db.models import F

from common.errors import TooOften
from common.security import log_event
from fleet.models import SignInAttempt

WINDOW = timedelta(minutes=15)
OF_AN_ADDRESS = 60
"""Whatever the names. This and what follows are our own figures: a yard's tablets share one address at the change of
shift."""
OF_A_NAME_THERE = 10
"""At one address, or on one known device."""
MANY = 50
"""Failures of one name, from wherever, after which the next figure counts for each address."""
WHEN_MANY = 3
_NETWORK_BITS = 64
"""How much of an IPv6 address is somebody's own network: its holder has all the addresses in it."""


@dataclass(frozen=True)
class Attempt:
    """One attempt: the name as it was typed, from where, and the device's token if it signed that person in before."""

    name: str
    address: str
    device: UUID | None = None

    @property
    def by_device(self) -> str:
        """The subject under which a known device counts."""
        return f"device {self.device}"

    @property
    def by_address(self) -> str:
        """The subject of the address, or of its network."""
        return f"address {_counted(self.address)}"

    @property
    def by_name(self) -> str:
        """The subject of the name, cut to what a name can be long."""
        return f"name {self.name.lower()[:64]}"

    @property
    def by_name_there(self) -> str:
        """The subject of the name at that address."""
        return f"at {_counted(self.address)} {self.name.lower()[:64]}"


def count_attempt(attempt: Attempt, *, now: datetime) -> None:
    """Count one attempt, committed at once; TooOften `sign_in_too_often` with `retry_after`, a window at most."""
    if attempt.device is not None:
        _count(attempt, attempt.by_device, OF_A_NAME_THERE, now)
        return
    _count(attempt, attempt.by_address, OF_AN_ADDRESS, now)
    guessed = SignInAttempt.objects.filter(subject=attempt.by_name, window_starts_at__gt=now - WINDOW)
    many = guessed.filter(failures__gte=MANY).exists()
    _count(attempt, attempt.by_name_there, WHEN_MANY if many else OF_A_NAME_THERE, now)
    if _add(attempt.by_name, now).failures == MANY:
        log_event("sign_in_many_failures", attempt.name, address=attempt.address)


def count_guess(*, address: str, now: datetime) -> None:
    """Count a token of a signing link that never was, which has no name, by its address alone; TooOften as above."""
    guess = Attempt("", address)
    _count(guess, guess.by_address, OF_AN_ADDRESS, now)


def forget_attempt(attempt: Attempt) -> None:
    """Take a successful attempt off the counts: all of the name's at that address or of the device, else one.

    No row is removed here, since others may be counting on it at that moment.
    """
    SignInAttempt.objects.filter(subject__in=(attempt.by_device, attempt.by_name_there)).update(failures=0)
    if attempt.device is None:
        for subject in (attempt.by_address, attempt.by_name):
            SignInAttempt.objects.filter(subject=subject, failures__gt=0).update(failures=F("failures") - 1)


def delete_old_attempts(*, now: datetime) -> int:
    """Remove counts whose window is over; how many there were."""
    removed, _ = SignInAttempt.objects.filter(window_starts_at__lt=now - WINDOW).delete()
    return removed


def _count(attempt: Attempt, subject: str, limit: int, now: datetime) -> None:
    row = _add(subject, now)
    if row.failures > limit:
        wait = row.window_starts_at + WINDOW - now
        log_event("sign_in_blocked", attempt.name, address=attempt.address, by=subject.partition(" ")[0])
        raise TooOften("sign_in_too_often", retry_after=max(int(wait.total_seconds()), 1))


@transaction.atomic
def _add(subject: str, now: datetime) -> SignInAttempt:
    """One more in the window of a subject. A window from a clock that ran ahead begins now."""
    locked = SignInAttempt.objects.select_for_update(no_key=True)
    row, _ = locked.get_or_create(subject=subject, defaults={"window_starts_at": now})
    if now >= row.window_starts_at + WINDOW:
        row.window_starts_at, row.failures = now, 0
    row.window_starts_at = min(row.window_starts_at, now)
    row.failures += 1
    row.save(update_fields=["window_starts_at", "failures"])
    return row


def _counted(address: str) -> str:
    try:
        found = ip_address(address.partition("%")[0])
    except ValueError:
        return address[:45]
    if isinstance(found, IPv4Address):
        return str(found)
    return str(found.ipv4_mapped or ip_network((found, _NETWORK_BITS), strict=False))
