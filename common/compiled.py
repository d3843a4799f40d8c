"""Statements compiled once in a process and run with other values: compiling takes longer than running."""

from collections.abc import Callable, Iterable, Sequence
from functools import cache
from operator import attrgetter
from typing import Any, Generic, TypeVar, cast

from django.db import connection
from django.db.models import AutoField, BinaryField, Model, QuerySet
from pydantic_core import to_json

from common.sql_parameters import apart, literal, written

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
        self._parts = [(model, [each.attname for each in own]) for model, own in zip(models, fields, strict=True)]
        readers = (getattr(field, "from_db_value", None) for own in fields for field in own)
        self._readers = [(at, reader) for at, reader in enumerate(readers) if reader is not None]
        self._beside = (*joined, *also)
        paths = zip(("", *(f"{name}__" for name in joined)), self._parts, strict=True)
        super().__init__(query.values_list(*(path + name for path, (_, names) in paths for name in names), *also))

    def fetch(self, **given: Any) -> list[R]:
        """Return the objects as the query set itself would; errors as above."""
        return [self._object(list(row)) for row in self.rows(**given)]

    def _object(self, row: list[Any]) -> R:
        for at, read in self._readers:
            row[at] = read(row[at], None, connection)
        values = iter(row)
        parts = [(model, names, [next(values) for _ in names]) for model, names in self._parts]
        made = [model.from_db(connection.alias, names, part) if any(part) else None for model, names, part in parts]
        for name, value in zip(self._beside, (*made[1:], *values), strict=True):
            setattr(made[0], name, value)
        return cast("R", made[0])


INSERT = "INSERT INTO {table} ({columns}) SELECT {columns} FROM json_populate_recordset(NULL::{table}, %s)"


def insert(rows: Iterable[Model], *, then: str = "", of: Sequence[Model] = ()) -> None:
    """Insert rows that have a value in every column but a counted key, as `save` would; nothing where there are none.

    Each table's rows go as one JSON text, so that the statement differs by its tables alone and stays prepared. `then`
    is one more statement, sent with them, whose one value are the rows `of` a table, as JSON.
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
