"""A person's own new password, from the device that is signed in; every other device must sign in again."""

from datetime import datetime

from django.db import transaction

from common.errors import Invalid
from fleet.models import DeviceToken, Person
from fleet.services.passwords import use_password
from fleet.services.row_edits import lock_row, log_change
from fleet.services.sign_in_attempts import count_attempt, forget_attempts


def change_own_password(
    *, current: str, password: str, token: DeviceToken, address: str, actor: Person, now: datetime
) -> None:
    """Change the password of whoever holds `token`, which alone stays in force.

    A wrong present password counts as an attempt to sign in, so call it outside any transaction. Invalid
    `password_wrong`, `password_refused`; TooOften `sign_in_too_often`.
    """
    name = actor.username or ""
    count_attempt(name=name, address=address, now=now)
    if not actor.check_password(current):
        raise Invalid("password_wrong", pointer="/current_password")
    with transaction.atomic():
        person = lock_row(Person.objects.all(), actor.pk, "person_unknown")
        use_password(person, password)
        person.version += 1
        person.save(update_fields=["password", "version"])
        person.tokens.filter(revoked_at__isnull=True).exclude(pk=token.pk).update(revoked_at=now)
        forget_attempts(name=name, address=address)
        log_change(person, "edited", actor, {"password": None})
