"""Signing in: a name and a password for one token of one device, with guessing made slow."""

import secrets
from datetime import datetime
from uuid import UUID

from django.contrib.auth.hashers import make_password
from django.db import transaction

from common.errors import NotSignedIn
from fleet.models import DeviceToken, Person
from fleet.rules.tokens import PREFIX, TOKEN_BYTES, digest, lifetime
from fleet.services.sign_in_attempts import count_attempt, forget_attempts


def create_token(*, username: str, password: str, device: str, address: str, now: datetime) -> tuple[DeviceToken, str]:
    """Return a new token's row and the token itself, which is told this once and never kept.

    Every attempt is counted, and the count is committed, before the password is looked at. NotSignedIn
    `sign_in_refused`, the same for an unknown name, a wrong password and a person who left; TooOften
    `sign_in_too_often` with `retry_after`. Call it outside any transaction, or a refusal undoes its own count.
    """
    count_attempt(name=username, address=address, now=now)
    person = Person.objects.filter(username=username.lower(), left_on__isnull=True).first()
    if person is None:
        make_password(password)  # as long as a check takes, so that names cannot be told apart by the clock
        raise NotSignedIn("sign_in_refused")
    if not person.check_password(password):
        raise NotSignedIn("sign_in_refused")
    with transaction.atomic():
        forget_attempts(name=username, address=address)
        return _issue(person.pk, device, now)


def _issue(person_id: UUID, device: str, now: datetime) -> tuple[DeviceToken, str]:
    token = PREFIX + secrets.token_urlsafe(TOKEN_BYTES)
    ends = lifetime(now)
    row = DeviceToken.objects.create(
        person_id=person_id,
        device=device,
        digest=digest(token),
        created_at=now,
        renewed_on=now.date(),
        expires_at=ends.expires_at,
        ends_at=ends.ends_at,
    )
    return row, token
