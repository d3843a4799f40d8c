"""Statements compiled once in a process and run with other values: compiling takes longer than running.

A value that differs is a `Parameter`; conditions that take many values take them as one.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cache, lru_cache
from itertools import accumulate, pairwise
from operator import attrgetter
from typing import Any, Generic, TypeVar, cast

from django.contrib.postgres.expressions import ArraySubquery
from django.contrib.postgres.fields import ArrayField
from django.db import connection
from django.db.models import (
    AutoField,
    BinaryField,
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
from psycopg.sql import Literal
from pydantic_core import to_json

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


R = TypeVar("R", bound=Model)

FEW = 20
"""With lists of more values a statement is planned by its own; up to here it stays prepared, once for each length."""


class Compiled:
    """A statement that gives rows of columns; what does not differ is written into it and not sent each time."""

    def __init__(self, query: QuerySet[Any, Any]) -> None:
        text, values = query.query.sql_with_params()  # what str(query.query) is made of
        self.sql: Any = text.replace("%%", "%%%%") % tuple(map(written, values))

    def rows(self, **given: Any) -> list[tuple[Any, ...]]:
        """Return the rows as the database driver gives them; ProgrammingError for a value that is not given."""
        with connection.cursor() as cursor:
            if any(isinstance(value, list) and len(value) > FEW for value in given.values()):
                cursor.execute(self.sql % {name: literal(value) for name, value in given.items()})
            else:
                cursor.execute(*apart(self.sql, given))
            return list(cursor.fetchall())


class CompiledObjects(Compiled, Generic[R]):
    """A statement that gives objects with what the foreign keys `joined` lead to; annotations (`also`) as they come."""

    def __init__(self, query: QuerySet[R, R], *joined: str, also: tuple[str, ...] = ()) -> None:
        of = query.model._meta.get_field  # noqa: SLF001 - documented
        models: list[Any] = [query.model, *(of(name).related_model for name in joined)]
        fields = [model._meta.concrete_fields for model in models]  # noqa: SLF001 - as above
        ends = list(accumulate(map(len, fields), initial=0))
        self._parts = [
            (model, [each.attname for each in own], slice(begin, end))
            for model, own, (begin, end) in zip(models, fields, pairwise(ends), strict=True)
        ]
        self._annotated = slice(ends[-1], None)
        readers = (getattr(field, "from_db_value", None) for own in fields for field in own)
        self._readers = [(at, reader) for at, reader in enumerate(readers) if reader is not None]
        self._beside = (*joined, *also)
        paths = zip(("", *(f"{name}__" for name in joined)), self._parts, strict=True)
        super().__init__(query.values_list(*(path + name for path, (_, names, _) in paths for name in names), *also))

    def fetch(self, **given: Any) -> list[R]:
        """Return the objects as the query set itself would; errors as above."""
        alias = connection.alias
        return [self._object(list(row), alias) for row in self.rows(**given)]

    def _object(self, row: list[Any], alias: str) -> R:
        for at, read in self._readers:
            row[at] = read(row[at], None, connection)
        made = [
            model.from_db(alias, names, part) if any(part := row[where]) else None
            for model, names, where in self._parts
        ]
        for name, value in zip(self._beside, (*made[1:], *row[self._annotated]), strict=True):
            setattr(made[0], name, value)
        return cast("R", made[0])


INSERT = "INSERT INTO {table} ({columns}) SELECT {columns} FROM json_populate_recordset(NULL::{table}, %s)"


def insert(rows: Iterable[Model], *, then: str = "", of: Sequence[Model] = ()) -> None:
    """Insert rows that have a value in every column but a counted key, as `save` would; nothing where there are none.

    Each table's rows go as one JSON text, so that the statement differs by its tables alone and stays prepared. Of a
    table that is `kept_once`, rows that a constraint finds on record are left out. `then` is one more statement, sent
    with them, whose one value are the rows `of` a table, as JSON.
    """
    by_table: dict[type[Model], list[Model]] = {}
    for row in rows:
        by_table.setdefault(type(row), []).append(row)
        row._state.adding, row._state.db = False, connection.alias  # noqa: SLF001 - documented
    if by_table:
        values = [_as_json(each) for each in (*by_table.values(), *([of] if then else []))]
        with connection.cursor() as cursor:
            cursor.execute(_statement(tuple(by_table), then), values)


@cache
def _statement(tables: tuple[type[Model], ...], then: str) -> str:
    quote = connection.ops.quote_name
    parts = [
        INSERT.format(table=quote(table._meta.db_table), columns=", ".join(map(quote, _columns(table)[0])))  # noqa: SLF001 - as above
        + (" ON CONFLICT DO NOTHING" if getattr(table, "kept_once", False) else "")
        for table in tables
    ]
    *before, last = [*parts, then] if then else parts
    named = ", ".join(f"rows_{index} AS ({each})" for index, each in enumerate(before))
    return f"WITH {named} {last}" if named else last


def _as_json(rows: Sequence[Model]) -> str:
    names, values_of, binary = _columns(type(rows[0]))
    given = [dict(zip(names, values_of(row), strict=True)) for row in rows]
    for values in given if binary else ():
        values.update({name: "\\x" + bytes(values[name]).hex() for name in binary})
    return to_json(given).decode()


@cache
def _columns(table: type[Model]) -> tuple[list[str], Callable[[Model], tuple[Any, ...]], list[str]]:
    """The table's columns, what reads their values off a row, and those that hold bytes."""
    fields = [field for field in table._meta.concrete_fields if not isinstance(field, AutoField)]  # noqa: SLF001 - as above
    binary = [str(field.column) for field in fields if isinstance(field, BinaryField)]
    return [str(field.column) for field in fields], attrgetter(*(field.attname for field in fields)), binary
