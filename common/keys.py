"""Many keys or texts as one value: `unit_id = ANY(array)` costs the same to write for two units as for ten thousand."""

from collections.abc import Iterable
from uuid import UUID

from django.contrib.postgres.fields import ArrayField
from django.db.models import BooleanField, F, Field, Func, TextField, UUIDField, Value


class _In(Func):
    template = "(%(expressions)s))"
    arg_joiner = " = ANY("
    of: "Field[object, object]"

    def __init__(self, column: str, values: Iterable[object]) -> None:
        array = Value(list(values), output_field=ArrayField(self.of))
        super().__init__(F(column), array, output_field=BooleanField())


class KeyIn(_In):
    """`filter(KeyIn("unit_id", keys))` finds what `filter(unit_id__in=keys)` does, with one parameter."""

    of = UUIDField()

    def __init__(self, column: str, keys: Iterable[UUID]) -> None:
        super().__init__(column, keys)


class TextIn(_In):
    """The same for texts."""

    of = TextField()

    def __init__(self, column: str, texts: Iterable[str]) -> None:
        super().__init__(column, texts)
