"""Setting a password on a person's row, and a person's own new one, after which every other device signs in again."""

from datetime import datetime

from django.contrib.auth.hashers import check_password
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from common.errors import FieldProblem, Invalid
from common.security import log_event
from fleet.models import DeviceToken, Person
from fleet.services.people.access import end_feeds
from fleet.services.people.sign_in_attempts import Attempt, count_attempt, forget_attempt
from fleet.services.records.edits import lock_row

COLUMNS = ("password", "sign_in_given")
"""What is set."""


def use_password(person: Person, password: str | None, *, given: bool = False) -> None:
    """Set the hash of a password, None for a person who cannot sign in; `given` when it is not the person's own choice.

    Invalid `password_refused` at `/password`, also for the password that the person has.
    """
    person.sign_in_given = given and password is not None
    if password is None:
        person.set_unusable_password()
        return
    try:
        validate_password(password, person)
    except ValidationError as error:
        problems = [FieldProblem("/password", str(one.code)) for one in error.error_list]
        raise Invalid("password_refused", problems=problems) from error
    if check_password(password, person.password):
        raise Invalid("password_refused", problems=[FieldProblem("/password", "password_unchanged")])
    person.set_password(password)


class FewCharactersValidator:
    """Refuses a password made of few different characters, however long it is."""

    def __init__(self, at_least: int = 5) -> None:
        self.at_least = at_least

    def validate(self, password: str, _user: object = None) -> None:
        """ValidationError `password_few_characters`."""
        if len(set(password.lower())) < self.at_least:
            raise ValidationError(self.get_help_text(), code="password_few_characters")

    def get_help_text(self) -> str:
        """What Django tells whoever asks for its rules."""
        return f"A password has at least {self.at_least} different characters."


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
        log_event("own_password_wrong", actor.log_name, actor=actor.log_name, address=address)
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
    log_event("own_password_set", actor.log_name, actor=actor.log_name, address=address)
