"""A query put into words once and asked again with other values: for one so long that writing it outlasts its answer.

Knows no table. What must differ between two askings is named; everything else stands in the words.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django.db import connection
from django.db.models import QuerySet
from psycopg.types.json import Jsonb

Values = Mapping[str, Any]


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


def compile_query(build: Callable[[Values], QuerySet[Any, Any]], first: Values, second: Values) -> Compiled:
    """Build the query with two sets of stand-ins and find by comparing where each named value goes.

    The stand-ins of a set must differ from each other and from the other set's. Raises CannotCompileError.
    """
    (words, one), (other_words, two) = (build(values).query.sql_with_params() for values in (first, second))
    if words != other_words or len(one) != len(two):
        raise CannotCompileError("the words themselves depend on the values")
    named = {}
    for place, (here, there) in enumerate(zip(one, two, strict=True)):
        if _same(here, there):
            continue
        names = [name for name in first if here == first[name] and there == second[name]]
        if len(names) != 1:
            raise CannotCompileError(f"at place {place} stand {here!r} and {there!r}, none of {', '.join(first)}")
        named[place] = names[0]
    if missing := set(first) - set(named.values()):
        raise CannotCompileError(f"not to be found in it: {', '.join(sorted(missing))}")
    return Compiled(words, tuple(one), named)


def _same(here: object, there: object) -> bool:
    """Whether two values are equal; those that go into the database as JSON know nothing of that themselves."""
    if isinstance(here, Jsonb) and isinstance(there, Jsonb):
        return bool(here.obj == there.obj)
    return here == there
