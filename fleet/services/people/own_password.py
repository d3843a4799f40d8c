"""A person's own new password, from the device that is signed in; every other device must sign in again."""

from datetime import datetime

from django.db import transaction

from common.errors import Invalid
from common.security import tell
from fleet.models import DeviceToken, Person
from fleet.services.people.access import end_feeds
from fleet.services.people.passwords import COLUMNS, use_password
from fleet.services.people.sign_in_attempts import Attempt, count_attempt, forget_attempt
from fleet.services.records.edits import lock_row


def change_own_password(
    *, current: str, password: str, token: DeviceToken, address: str, actor: Person, now: datetime
) -> None:
    """Change the password of whoever holds `token`, which alone stays in force: other devices and all feeds end.

    A wrong present password counts as an attempt to sign in on that device, which no stranger's attempts touch, so call
    it outside any transaction. Invalid `password_wrong`, `password_refused`; TooOften `sign_in_too_often`.
    """
    attempt = Attempt(actor.username or "", address, token.pk)
    count_attempt(attempt, now=now)
    if not actor.check_password(current):
        tell("own_password_wrong", actor.log_name, actor=actor.log_name, address=address)
        raise Invalid("password_wrong", pointer="/current_password")
    with transaction.atomic():
        person = lock_row(Person.objects.all(), actor.pk, "person_unknown")
        if person.password != actor.password:  # reset meanwhile
            raise Invalid("password_wrong", pointer="/current_password")
        use_password(person, password)
        person.version += 1
        person.save(update_fields=[*COLUMNS, "version"])
        person.tokens.filter(revoked_at__isnull=True).exclude(pk=token.pk).update(revoked_at=now)
        end_feeds(person.feeds.all(), why="own_password_set", actor=actor, now=now)
        forget_attempt(attempt)
    tell("own_password_set", actor.log_name, actor=actor.log_name, address=address)
