"""Unsaved rows of several tables, inserted by one statement however many they are."""

from collections.abc import Iterable
from functools import cache
from typing import Any

from django.db import connection
from django.db.models import AutoField, BinaryField, Field, Model
from pydantic_core import to_json

INSERT = "INSERT INTO {table} ({columns}) SELECT {columns} FROM json_populate_recordset(NULL::{table}, %s)"


def insert(rows: Iterable[Model]) -> None:
    """Insert rows that have a value in every column but a counted key, as `save` would; nothing where there are none.

    Each table's rows go as one JSON text, so that the statement differs by its tables alone and stays prepared.
    """
    texts: dict[type[Model], list[dict[str, object]]] = {}
    for row in rows:
        texts.setdefault(type(row), []).append(
            {name: _value(row, field) for name, field in _columns(type(row)).items()}
        )
        row._state.adding, row._state.db = False, connection.alias  # noqa: SLF001 - documented
    if texts:
        with connection.cursor() as cursor:
            cursor.execute(_statement(tuple(texts)), [to_json(rows).decode() for rows in texts.values()])


@cache
def _statement(tables: tuple[type[Model], ...]) -> str:
    inserts = [INSERT.format(table=table, columns=columns) for table, columns in map(_names, tables)]
    before = ", ".join(f"rows_{index} AS ({each})" for index, each in enumerate(inserts[:-1]))
    return f"WITH {before} {inserts[-1]}" if before else inserts[-1]


def _names(table: type[Model]) -> tuple[str, str]:
    quote = connection.ops.quote_name
    return quote(table._meta.db_table), ", ".join(map(quote, _columns(table)))  # noqa: SLF001 - as above


@cache
def _columns(table: type[Model]) -> "dict[str, Field[Any, Any]]":
    fields = table._meta.concrete_fields  # noqa: SLF001 - as above
    return {str(field.column): field for field in fields if not isinstance(field, AutoField)}


def _value(row: Model, field: "Field[Any, Any]") -> object:
    value = getattr(row, field.attname)
    return "\\x" + bytes(value).hex() if isinstance(field, BinaryField) else value
