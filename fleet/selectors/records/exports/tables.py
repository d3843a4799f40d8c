"""Everything on record as tables: how rows are read and spelled, and the tables that every app contributes."""

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from django.contrib.postgres.expressions import ArraySubquery
from django.contrib.postgres.fields import RangeField
from django.db.models import (
    Case,
    CharField,
    F,
    Field,
    ForeignKey,
    ManyToManyField,
    Model,
    OuterRef,
    QuerySet,
    Value,
    When,
)
from django.db.models.expressions import Combinable
from django.db.models.functions import Concat

from common.composition import contributed, indexed
from fleet.enums import Role

ROWS_AT_ONCE = 2000

KEEPERS_OF_RECORDS = frozenset({Role.COMPLIANCE, Role.AUDITOR})
"""They see everything."""
OFFICE = KEEPERS_OF_RECORDS | {Role.ADMINISTRATOR}
"""What an administrator may see besides: all that the carrier owns, and its people."""

_SECRET = re.compile(r"password|secret|token(?!_owner)")

Expression = str | Combinable


@dataclass(frozen=True)
class ExportTable:
    """A table by the name of its file, without ending."""

    name: str
    readers: frozenset[Role]
    columns: Sequence[str]
    rows: Callable[[], Iterator[Sequence[object]]]


@dataclass(frozen=True, eq=False)
class ExportTables:
    """An app's tables, made when every app is there, and what people call rows of its models, by `app.model`."""

    make: Callable[[], Sequence[ExportTable]]
    names: Mapping[str, Callable[[str], Combinable]]


def query_table(
    name: str, readers: frozenset[Role], rows: Callable[[], QuerySet[Model]], columns: Mapping[str, Expression]
) -> ExportTable:
    """Return the table of a query, each column by the lookup or expression that gives it; rows come in key order."""

    def read() -> Iterator[Sequence[object]]:
        aliases = {f"column_{index}": _expression(value) for index, value in enumerate(columns.values())}
        found = rows().annotate(**aliases).order_by("pk")
        return iter(found.values_list(*aliases).iterator(ROWS_AT_ONCE))

    return ExportTable(name, readers, tuple(columns), read)


def model_table(
    name: str,
    readers: frozenset[Role],
    model: type[Model],
    *,
    leave_out: frozenset[str] = frozenset(),
    more: Mapping[str, Expression] | None = None,
) -> ExportTable:
    """Return all rows of a model with every column, keys of related rows among them, and names beside some keys.

    A related row stands as its key in a column ending in `_id`, with what people call it beside that; many related rows
    stand in one cell as lists of both, in the same order. ValueError for a column that could hold a secret and
    is not in `leave_out`.
    """
    fields = [*model._meta.concrete_fields, *model._meta.many_to_many]  # noqa: SLF001 - Django's documented model API
    columns: dict[str, Expression] = {}
    for field in fields:
        if field.name in leave_out:
            continue
        if _SECRET.search(field.name):
            msg = f"{model.__name__}.{field.name} may be a secret"
            raise ValueError(msg)
        columns.update(_columns_of(field))
    return query_table(name, readers, model._default_manager.all, {**columns, **(more or {})})  # noqa: SLF001 - Django's documented model API


def unit_name(path: str) -> Combinable:
    """Return the expression of a unit's name, as people write it, behind a path of lookups."""
    return Case(
        When(**{f"{path}__owner": ""}, then=F(f"{path}__number")),
        When(**{f"{path}__isnull": False}, then=Concat(f"{path}__number", Value("@"), f"{path}__owner")),
        output_field=CharField(null=True),
    )


def _columns_of(field: "Field[object, object] | ManyToManyField[Model, Model]") -> Mapping[str, Expression]:
    if isinstance(field, RangeField):
        return {f"{field.name}_from": f"{field.name}__startswith", f"{field.name}_until": f"{field.name}__endswith"}
    if isinstance(field, ManyToManyField):
        through: type[Model] = field.remote_field.through  # type: ignore[assignment]  # None before models are there
        own, other = field.m2m_column_name(), field.m2m_reverse_name()
        rows = through._default_manager.filter(**{own: OuterRef("pk")}).order_by(other)  # noqa: SLF001 - Django's documented model API
        keys = {f"{field.name}_id": ArraySubquery(rows.values(other))}
        name = _name_of(field, field.m2m_reverse_field_name())
        return keys if name is None else {**keys, field.name: ArraySubquery(rows.values(called=name))}
    if not isinstance(field, ForeignKey):
        return {field.name: field.name}
    key: Mapping[str, Expression] = {field.attname: field.attname}
    name = _name_of(field, field.name)
    return key if name is None else {**key, field.name: name}


def _name_of(field: "ForeignKey[Model, Model] | ManyToManyField[Model, Model]", path: str) -> Combinable | None:
    label = field.related_model._meta.label_lower  # noqa: SLF001 - as above
    return next((part.names[label](path) for part in contributed(ExportTables) if label in part.names), None)


def _expression(value: Expression) -> Combinable:
    return F(value) if isinstance(value, str) else value


def tables_for(roles: frozenset[str]) -> tuple[ExportTable, ...]:
    """Return the tables that somebody with these roles may have, in the order in which they are given out."""
    return tuple(table for table in _tables(contributed(ExportTables)) if not table.readers.isdisjoint(roles))


@cache
def _tables(parts: tuple[ExportTables, ...]) -> tuple[ExportTable, ...]:
    return tuple(indexed((table.name, table) for part in parts for table in part.make()).values())
