"""Signing in: a name and a password for one token of one device, guessing made slow; renewing and ending tokens."""

import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.contrib.auth.hashers import make_password
from django.db import transaction

from common.errors import NotSignedIn, or_not_found
from common.security import log_event
from fleet.enums import Role
from fleet.models import DeviceToken, Person
from fleet.rules.people.tokens import PREFIX, TOKEN_BYTES, lifetime, token_hash
from fleet.services.people.sign_in_attempts import Attempt, count_attempt, forget_attempt

DEVICES = 20
"""How many devices of one person may be signed in at once. Our own figure: more than anybody carries, few enough to
read through."""


@dataclass(frozen=True)
class SignedIn:
    """A new token's row, the token itself, which is told this once and never kept, and the devices it signed out."""

    row: DeviceToken
    token: str
    signed_out: Sequence[DeviceToken]


def create_token(
    *, username: str, password: str, device: str, address: str, sent_along: str = "", now: datetime
) -> SignedIn:
    """Sign a device in. `sent_along` is a token the device had before, in force or not: by it, it is known.

    Every attempt is counted, and the count is committed, before the password is looked at. NotSignedIn
    `sign_in_refused`, the same for an unknown name, a wrong password and a person who left; TooOften
    `sign_in_too_often` with `retry_after`. Call it outside any transaction, or a refusal undoes its own count.
    """
    known = DeviceToken.objects.filter(token_hash=token_hash(sent_along), person__username=username.lower()).first()
    attempt = Attempt(username, address, None if known is None else known.pk)
    count_attempt(attempt, now=now)
    person = Person.objects.filter(username=username.lower(), left_on__isnull=True).first()
    if person is None:
        make_password(password)  # as long as a check takes, so that names cannot be told apart by the clock
    if person is None or not person.check_password(password):
        log_event("sign_in_failed", username, address=address)
        raise NotSignedIn("sign_in_refused")
    with transaction.atomic():
        made = _issue(person, device, now)
        forget_attempt(attempt)
    log_event(
        "sign_in_new_device" if known is None else "sign_in_known_device",
        username.lower(),
        address=address,
        device=device,
    )
    for ended in made.signed_out:
        log_event("device_signed_out", username.lower(), address=address, device=ended.device, why="too_many")
    return made


def _issue(person: Person, device: str, now: datetime) -> SignedIn:
    """Under the person's lock, so that neither a reset nor leaving comes between the password and its token."""
    unchanged = Person.objects.filter(left_on__isnull=True, username=person.username, password=person.password)
    if unchanged.select_for_update(no_key=True).filter(pk=person.pk).first() is None:
        raise NotSignedIn("sign_in_refused")
    signed_in = DeviceToken.objects.filter(person=person, revoked_at__isnull=True, expires_at__gt=now, ends_at__gt=now)
    signed_out = _too_many(list(signed_in.order_by("renewed_on", "created_at", "pk")), device)
    DeviceToken.objects.filter(pk__in=[each.pk for each in signed_out]).update(revoked_at=now)
    token = PREFIX + secrets.token_urlsafe(TOKEN_BYTES)
    ends = lifetime(now)
    row = DeviceToken.objects.create(
        person=person,
        device=device,
        token_hash=token_hash(token),
        created_at=now,
        renewed_on=now.date(),
        expires_at=ends.expires_at,
        ends_at=ends.ends_at,
    )
    return SignedIn(row, token, signed_out)


def _too_many(unused_for_longest: Sequence[DeviceToken], device: str) -> list[DeviceToken]:
    """Which are signed out for one more: first those called like it, so that a script costs nobody a phone in use."""
    called_like_it_first = sorted(unused_for_longest, key=lambda token: token.device != device)
    return called_like_it_first[: max(len(called_like_it_first) - DEVICES + 1, 0)]


@transaction.atomic
def revoke_token(*, token_id: UUID, actor: Person, now: datetime) -> DeviceToken:
    """End one token at once: one's own, or anybody's for an administrator; NotFound `token_unknown` otherwise."""
    tokens = DeviceToken.objects.select_for_update(no_key=True, of=("self",)).filter(revoked_at__isnull=True)
    if Role.ADMINISTRATOR not in actor.current_roles:
        tokens = tokens.filter(person=actor)
    token = or_not_found(tokens.select_related("person").filter(pk=token_id).first(), "token_unknown")
    token.revoked_at = now
    token.save(update_fields=["revoked_at"])
    log_event("device_signed_out", token.person.log_name, actor=actor.log_name, device=token.device)
    return token
