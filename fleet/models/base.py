"""What every table of the service shares: a time-ordered key, and how closed sets and numbers are declared."""

from collections.abc import Iterable
from enum import StrEnum

from django.db import models

from common.ids import uuid7


class Keyed(models.Model):
    """A row named by a UUIDv7 (RFC 9562), made by the phone or by the service."""

    id = models.UUIDField(primary_key=True, default=uuid7, editable=False)

    class Meta:
        abstract = True


class Edited(Keyed):
    """A row that people edit: its version is the entity tag they must send back (RFC 9110, 13.1.1)."""

    version = models.PositiveIntegerField(default=1)

    class Meta:
        abstract = True


class Sequence(models.Func):
    """The next value of a database sequence, for short numbers that people read out; gaps are allowed."""

    function = "nextval"
    template = "%(function)s('%(sequence)s')"

    def __init__(self, sequence: str) -> None:
        super().__init__(sequence=sequence, output_field=models.BigIntegerField())


def choices(members: Iterable[StrEnum]) -> list[tuple[str, str]]:
    """The members as choices of a field; what people read for one stands in the app's `messages.labels`."""
    return [(member.value, member.value) for member in members]
