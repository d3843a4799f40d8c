"""A query compiled once and asked again with other values: for one so long that writing it outlasts its answer.

Knows no table. What must differ between two askings is named; everything else stands in the words.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, TypeVar

from django.db import connection
from django.db.models import Model, QuerySet
from django.db.models.query import ModelIterable
from django.db.models.sql.compiler import SQLCompiler
from psycopg import Binary
from psycopg.types.json import Jsonb

Values = Mapping[str, Any]
Row = TypeVar("Row", bound=Model)


class CannotCompileError(Exception):
    """Something else than the named values differs between two askings, or a value is changed on its way."""


@dataclass(frozen=True)
class Compiled:
    """The words, their values in order, and at which places a named value stands."""

    sql: str
    values: tuple[Any, ...]
    named: Mapping[int, str]

    def fetch(self, given: Values) -> list[tuple[Any, ...]]:
        """Return the rows as the database driver gives them; KeyError for a value that is not given."""
        values = [given[self.named[place]] if place in self.named else value for place, value in enumerate(self.values)]
        with connection.cursor() as cursor:
            cursor.execute(self.sql, values)
            rows: list[tuple[Any, ...]] = cursor.fetchall()
        return rows


@dataclass(frozen=True)
class CompiledObjects(Generic[Row]):
    """The same for a query that gives objects: each with its annotations and with what `select_related` joins."""

    words: Compiled
    compiler: SQLCompiler

    def fetch(self, given: Values) -> list[Row]:
        """Return the objects as the query itself would; KeyError for a value that is not given."""
        return list(ModelIterable(_Answered(self.compiler, self.words.fetch(given))))  # type: ignore[arg-type]  # stands in for a query set


class _Answered:
    """What objects are made of once the rows are there: it is asked for all that a query set and its compiler are."""

    db = connection.alias
    _known_related_objects: Mapping[Any, Any] = {}

    def __init__(self, compiler: SQLCompiler, rows: list[tuple[Any, ...]]) -> None:
        self.query = self
        self.rows = rows
        self.select, self.klass_info = compiler.select, compiler.klass_info
        self.annotation_col_map = compiler.annotation_col_map
        self.results_iter = compiler.results_iter

    def get_compiler(self, using: str) -> "_Answered":  # noqa: ARG002 - the framework's signature
        return self

    def execute_sql(self, **_: object) -> list[list[tuple[Any, ...]]]:
        return [self.rows]


def compile_objects(
    build: Callable[[Values], QuerySet[Row, Row]], first: Values, second: Values
) -> CompiledObjects[Row]:
    """Do the same as `compile_query` for a query that gives objects."""
    words = compile_query(build, first, second)
    compiler = build(first).query.get_compiler(connection=connection)
    compiler.as_sql()
    return CompiledObjects(words, compiler)


def compile_query(build: Callable[[Values], QuerySet[Any, Any]], first: Values, second: Values) -> Compiled:
    """Build the query with two sets of stand-ins and find by comparing where each named value goes.

    The stand-ins of a set must differ from each other and from the other set's. Raises CannotCompileError.
    """
    (words, one), (other_words, two) = (build(values).query.sql_with_params() for values in (first, second))
    if words != other_words or len(one) != len(two):
        raise CannotCompileError("the words themselves depend on the values")
    named = {}
    for place, (here, there) in enumerate(zip(map(_bare, one), map(_bare, two), strict=True)):
        if here == there:
            continue
        names = [name for name in first if here == first[name] and there == second[name]]
        if len(names) != 1:
            raise CannotCompileError(f"at place {place} stand {here!r} and {there!r}, none of {', '.join(first)}")
        named[place] = names[0]
    if missing := set(first) - set(named.values()):
        raise CannotCompileError(f"not to be found in it: {', '.join(sorted(missing))}")
    return Compiled(words, tuple(one), named)


def _bare(value: object) -> object:
    """What is inside a value wrapped for the driver, since the wrappers know nothing of being equal."""
    return value.obj if isinstance(value, Jsonb | Binary) else value
