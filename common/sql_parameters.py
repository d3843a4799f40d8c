"""Values that a compiled statement is given each time it runs, and conditions that take many values as one."""

from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Any

from django.contrib.postgres.expressions import ArraySubquery
from django.contrib.postgres.fields import ArrayField
from django.db import connection
from django.db.models import BooleanField, DateTimeField, Expression, F, Field, Func, TextField, UUIDField, Value
from psycopg.sql import Literal

KEYS, TEXTS, INSTANT = ArrayField(UUIDField()), ArrayField(TextField()), DateTimeField()
"""What given values mostly are."""
EXPECTED = 10
"""So many values a prepared plan expects of any array."""


class Parameter(Expression):
    """The value of this name, which each run brings; it goes to the database driver as it is given."""

    def __init__(self, name: str, output_field: "Field[Any, Any]") -> None:
        super().__init__(output_field)
        self.name = name

    def as_sql(self, *_: Any) -> Any:
        """Return a placeholder, and itself in the place of the value."""
        return "%s", [self]


class KeyIn(Func):
    """`filter(KeyIn("unit_id", keys))` finds what `filter(unit_id__in=keys)` does, with one parameter."""

    template, arg_joiner = "(%(expressions)s))", " = ANY("
    of: "Field[Any, Any]" = KEYS

    def __init__(self, column: str, values: Iterable[object] | Parameter | ArraySubquery) -> None:
        array = values if isinstance(values, (Parameter, ArraySubquery)) else Value(list(values), self.of)
        super().__init__(F(column), array, output_field=BooleanField())


class TextIn(KeyIn):
    """The same for texts."""

    of = TEXTS


def written(value: object) -> str:
    """A value within a statement: one that is given as a placeholder of its name and type, any other as SQL."""
    if isinstance(value, Parameter):
        return f"%({value.name})s::{value.output_field.db_type(connection)}"
    return literal(value).replace("%", "%%")


def apart(text: str, given: Mapping[str, Any]) -> tuple[str, dict[str, Any]]:
    """A statement with each value of a short list by itself, and the values: a plan expects ten of any array."""
    lists = {name: value for name, value in given.items() if isinstance(value, list) and len(value) < EXPECTED}
    each = {f"{name}_{at}": value for name, values in lists.items() for at, value in enumerate(values)}
    return _of_lengths(text, tuple((name, len(values)) for name, values in lists.items())), {**given, **each}


@lru_cache(1000)
def _of_lengths(text: str, lengths: tuple[tuple[str, int], ...]) -> str:
    for name, length in lengths:
        each = ", ".join(f"%({name}_{at})s" for at in range(length))
        text = text.replace(f"%({name})s", f"ARRAY[{each}]")
    return text


def literal(value: object) -> str:
    """A value as SQL."""
    connection.ensure_connection()
    return Literal(value).as_string(connection.connection)
