"""Who acts at the server's console, with the roles in force today; passwords typed and files written there."""

import getpass
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from django.core.management.base import CommandError

from common import messages
from common.errors import DomainError
from common.messages import Message
from fleet.models import Person, PersonRole
from fleet.selectors.carrier import carriers_day


def person_acting(username: str, now: datetime) -> Person:
    """Return whoever signs in with that name. CommandError for nobody."""
    person = Person.objects.filter(username__iexact=username, left_on__isnull=True).first()
    if person is None:
        raise CommandError(f"nobody signs in as {username}")
    held = PersonRole.objects.in_force(carriers_day(now)).filter(person=person)
    person.current_roles = frozenset(held.values_list("role", flat=True))
    return person


def worded(error: DomainError, language: str) -> CommandError:
    """Return a refusal in words, with each field that was refused."""
    lines = [messages.render(Message(error.code, error.facts), language)]
    lines += [f"{p.pointer}: {messages.render(Message(p.code, p.facts), language)}" for p in error.problems]
    return CommandError("\n".join(lines))


def password_given(prompt: str) -> str:
    """A password as it was piped in, or typed at a terminal without being shown."""
    return getpass.getpass(prompt) if sys.stdin.isatty() else sys.stdin.readline().rstrip("\n")


@contextmanager
def writing(file: Path) -> Iterator[None]:
    """Say in a sentence, as a CommandError, why a file cannot be written."""
    try:
        yield
    except OSError as error:
        raise CommandError(f"{file} cannot be written: {error.strerror or error}") from error
