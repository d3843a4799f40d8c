"""A query set compiled to SQL once in a process and run again with other values: compiling takes longer than running.

Where a value is to differ, `Given` stands with its name. It goes to the database driver as it is given.
"""

import re
from collections.abc import Iterable, Mapping
from typing import Any, Generic, TypeVar

from django.contrib.postgres.fields import ArrayField
from django.db import connection
from django.db.models import (
    BooleanField,
    DateTimeField,
    Expression,
    F,
    Field,
    Func,
    Model,
    QuerySet,
    TextField,
    UUIDField,
    Value,
)
from psycopg import ClientCursor
from psycopg.sql import Literal

Row = TypeVar("Row", bound=Model)

KEYS, TEXTS, INSTANT = ArrayField(UUIDField()), ArrayField(TextField()), DateTimeField()
"""What given values mostly are."""

PLACE = re.compile("%[%s]")
"""Where a value stands in a statement, or a percent sign in itself."""

FEW = 20
"""A prepared plan expects about ten values of an array; for one of more the statement is planned by its own values."""


class Given(Expression):
    """The value of this name, which each run brings."""

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

    def __init__(self, column: str, values: Iterable[object] | Given) -> None:
        array = values if isinstance(values, Given) else Value(list(values), self.of)
        super().__init__(F(column), array, output_field=BooleanField())


class TextIn(KeyIn):
    """The same for texts."""

    of = TEXTS


class Compiled:
    """A statement that gives rows of columns; what does not differ is written into it and not sent each time."""

    def __init__(self, query: QuerySet[Any, Any]) -> None:
        text, values = query.query.sql_with_params()
        placed = iter(values)
        connection.ensure_connection()
        self._sql = PLACE.sub(lambda found: found[0] if found[0] == "%%" else _written(next(placed)), text)
        self._names = sorted({value.name for value in values if isinstance(value, Given)})

    def fetch(self, **given: object) -> list[tuple[Any, ...]]:
        """Return the rows as the database driver gives them; KeyError for a value that is not given."""
        return self._run(self._sql, given)

    def plan(self, **given: object) -> str:
        """Return how the database would find the rows."""
        return "\n".join(str(line) for (line,) in self._run(f"EXPLAIN {self._sql}", given))

    def _run(self, sql: str, given: Mapping[str, Any]) -> list[tuple[Any, ...]]:
        values = {name: given[name] for name in self._names}
        with connection.cursor() as cursor:
            if any(isinstance(value, list) and len(value) > FEW for value in values.values()):
                cursor.execute(ClientCursor(connection.connection).mogrify(sql, values))
            else:
                cursor.execute(sql, values)
            return list(cursor.fetchall())


def _written(value: object) -> str:
    """A placeholder by its name, or the value itself as SQL."""
    if isinstance(value, Given):
        return f"%({value.name})s"
    return Literal(value).as_string(connection.connection).replace("%", "%%")


class CompiledObjects(Generic[Row]):
    """A statement that gives objects with their annotations and with what the foreign keys `joined` lead to."""

    def __init__(self, query: QuerySet[Row, Row], *joined: str) -> None:
        of = query.model._meta.get_field  # noqa: SLF001 - documented
        models: dict[str, Any] = {"": query.model, **{f"{name}__": of(name).related_model for name in joined}}
        self._parts = [(name[:-2], model, model._meta.concrete_fields) for name, model in models.items()]  # noqa: SLF001
        columns = {
            prefix + field.attname: field for prefix, part in zip(models, self._parts, strict=True) for field in part[2]
        }
        added = {name: annotation.output_field for name, annotation in query.query.annotations.items()}
        self._added = list(added)
        self._readers = [getattr(field, "from_db_value", None) for field in (*columns.values(), *added.values())]
        self._compiled = Compiled(query.values_list(*columns, *added))

    def fetch(self, **given: object) -> list[Row]:
        """Return the objects as the query set itself would; KeyError for a value that is not given."""
        return [self._object(row) for row in self._compiled.fetch(**given)]

    def plan(self, **given: object) -> str:
        """Return how the database would find the rows."""
        return self._compiled.plan(**given)

    def _object(self, row: tuple[Any, ...]) -> Row:
        read = zip(row, self._readers, strict=True)
        values = iter([value if reader is None else reader(value, None, connection) for value, reader in read])
        (_, model, fields), *others = self._parts
        made: Row = model.from_db(connection.alias, [field.attname for field in fields], [next(values) for _ in fields])
        for name, model, fields in others:
            part = [next(values) for _ in fields]
            there = any(value is not None for value in part)
            setattr(
                made,
                name,
                model.from_db(connection.alias, [field.attname for field in fields], part) if there else None,
            )
        for name, value in zip(self._added, values, strict=True):
            setattr(made, name, value)
        return made
