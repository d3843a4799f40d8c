"""Unsaved rows of several tables, inserted by one statement however many they are."""

from collections.abc import Callable, Iterable, Sequence
from functools import cache
from operator import attrgetter
from typing import Any

from django.db import connection
from django.db.models import AutoField, BinaryField, Model
from pydantic_core import to_json

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
