"""One fact as a row: its kind, the unit it is about and its columns as JSON, so that all kinds fit in one statement."""

import json
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db.models import CharField, F, QuerySet, UUIDField, Value
from django.db.models.functions import Cast, JSONObject

Rows = QuerySet[Any, tuple[str, UUID | None, Any]]


@dataclass(frozen=True, slots=True)
class FactRow:
    """One fact about a unit (or about no unit): its kind and its columns. Instants and dates are ISO texts."""

    kind: str
    unit: UUID | None
    body: dict[str, Any]


_EXACT = json.JSONDecoder(parse_float=Decimal)
"""Reads numbers as the database has them: no binary floats."""


def as_rows(query: QuerySet[Any], kind: str, unit: str, /, **columns: Any) -> Rows:
    """Return a query's rows as facts of one kind; `unit` names the column of the unit's key."""
    return query.values_list(Value(kind, output_field=CharField()), Cast(F(unit), UUIDField()), JSONObject(**columns))


def read_body(text: str) -> Any:
    """Return the columns of a row that the database driver gave as text."""
    return _EXACT.decode(text)
