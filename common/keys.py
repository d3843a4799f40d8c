"""Many keys as one value: `unit_id = ANY(array)` costs the same to write for two units and for ten thousand."""

from collections.abc import Iterable
from uuid import UUID

from django.contrib.postgres.fields import ArrayField
from django.db.models import BooleanField, F, Func, UUIDField, Value


class KeyIn(Func):
    """`filter(KeyIn("unit_id", keys))` finds what `filter(unit_id__in=keys)` does, with one parameter."""

    template = "(%(expressions)s))"
    arg_joiner = " = ANY("

    def __init__(self, column: str, keys: Iterable[UUID]) -> None:
        array = Value(list(keys), output_field=ArrayField(UUIDField()))
        super().__init__(F(column), array, output_field=BooleanField())
