"""Who acts at the server's console, with the roles in force today; what is typed there, and files written."""

import getpass
import sys
from argparse import ArgumentTypeError
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path

from django.core.management.base import CommandError

from common import messages
from common.errors import DomainError
from common.messages import Message
from fleet.models import Person, PersonRole
from fleet.selectors.carrier.carrier import carriers_day


def person_acting(username: str, now: datetime) -> Person:
    """Return whoever signs in with that name. CommandError for nobody."""
    person = Person.objects.filter(username__iexact=username, left_on__isnull=True).first()
    if person is None:
        raise CommandError(f"nobody signs in as {username}")
    held = PersonRole.objects.in_force(carriers_day(now)).filter(person=person)
    person.current_roles = frozenset(held.values_list("role", flat=True))
    return person


def worded(error: DomainError, language: str) -> CommandError:
    """Return a refusal in words, with each field that was refused for a reason of its own."""
    lines = [messages.render(Message(error.code, error.facts), language)]
    others = (problem for problem in error.problems if problem.code != error.code)
    lines += [f"{p.pointer}: {messages.render(Message(p.code, p.facts), language)}" for p in others]
    return CommandError("\n".join(lines))


def password_given(prompt: str) -> str:
    """A password as it was piped in, or typed unseen at a terminal, twice: CommandError unless both agree."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\n")
    typed = getpass.getpass(prompt)
    if getpass.getpass("Once more: ") != typed:
        raise CommandError("the two passwords differ; nothing was changed")
    return typed


def at_least_one(text: str) -> int:
    """A number of things, for an option that takes one."""
    number = int(text)
    if number < 1:
        raise ArgumentTypeError(f"{text} is not 1 or more")
    return number


def seconds(text: str) -> float:
    """A while, for an option that takes one."""
    given = float(text)
    if not given > 0:
        raise ArgumentTypeError(f"{text} is no time to wait")
    return given


@contextmanager
def writing(file: Path) -> Iterator[None]:
    """Say in a sentence, as a CommandError, why a file cannot be written."""
    try:
        yield
    except OSError as error:
        raise CommandError(f"{file} cannot be written: {error.strerror or error}") from error
