"""What every factory of a table has: a column that the table requires and the factory does not name gets a plain value.

Each app's factories stand in one file beside this; `make_…` there is for what has a history and is made by a service.
"""

import datetime as dt
from collections.abc import Callable
from decimal import Decimal
from itertools import count
from typing import Any, TypeAlias, TypeVar

from django.contrib.postgres.fields import DateTimeRangeField
from django.db import models
from factory.django import DjangoModelFactory

from common.ids import uuid7

NOON = dt.datetime(2026, 3, 6, 18, tzinfo=dt.UTC)
"""Friday 6 March 2026, 12:00 in Chicago, two days before the clocks change."""
TODAY = dt.date(2026, 3, 6)
HOUR = dt.timedelta(hours=1)

Field: TypeAlias = "models.Field[Any, Any]"
Table = TypeVar("Table", bound=models.Model)
_numbers = count(1)

PLAIN: tuple[tuple[type[Field], Callable[[dt.datetime], object]], ...] = (
    (models.DateTimeField, lambda now: now),
    (models.DateField, lambda now: now.date()),
    (models.UUIDField, lambda _: uuid7()),
    (models.BooleanField, lambda _: True),
    (models.DecimalField, lambda _: Decimal(2)),
    (models.FloatField, lambda _: 2.0),
    (models.IntegerField, lambda _: 2),
    (models.EmailField, lambda _: "somebody@carrier.invalid"),
    (models.CharField, lambda _: "as it is"),
    (models.TextField, lambda _: "as it is"),
    (models.BinaryField, lambda _: b"\x07" * 32),
    (models.JSONField, lambda _: {}),
    (DateTimeRangeField, lambda now: (now, None)),
)
"""What may stand in a column of each kind, where only its kind is known."""


def plain_value(field: Field, now: dt.datetime) -> object:
    """A plausible value of a column that names no other table. LookupError for a kind that is not known here yet."""
    if field.choices:
        return next(value for value, _ in field.flatchoices if value)
    for kind, value in PLAIN:
        if isinstance(field, kind):
            plain = value(now)
            return plain[: field.max_length] if isinstance(plain, str) else plain
    msg = f"no plain value is known for {field.model._meta.label}.{field.name}, a {type(field).__name__}"
    raise LookupError(msg)


class TableFactory(DjangoModelFactory[Table]):
    """Makes a row of a table; rows that it must name are made as well, and numbers and keys differ."""

    class Meta:
        abstract = True

    @classmethod
    def _create(cls, model_class: type[Table], *args: Any, **kwargs: Any) -> Table:
        for field in model_class._meta.concrete_fields:
            if not _optional(field) and field.name not in kwargs and field.attname not in kwargs:
                kwargs[field.name] = _required(field)
        return super()._create(model_class, *args, **kwargs)


def factory_of(model: type[Table], *, one_for_each: tuple[str, ...] = (), **declared: Any) -> type[TableFactory[Table]]:
    """The factory of a table of which only these columns need to be said; `one_for_each` finds what is there."""
    meta = type("Meta", (), {"model": model, "django_get_or_create": one_for_each})
    return type(f"{model.__name__}Factory", (TableFactory,), {"Meta": meta, **declared})


def factories() -> dict[type[models.Model], type[TableFactory[Any]]]:
    """Every factory that was declared, by its table."""
    return {each._meta.model: each for each in TableFactory.__subclasses__()}  # type: ignore[attr-defined]


def _optional(field: Field) -> bool:
    blank = field.blank and isinstance(field, models.CharField | models.TextField)
    return field.null or field.has_default() or field.has_db_default() or blank


def _required(field: Field) -> object:
    if isinstance(field, models.ForeignKey):
        return factories()[field.related_model].create()
    if field.unique:
        number = next(_numbers)
        return number.to_bytes(32) if isinstance(field, models.BinaryField) else _another(field, number)
    return plain_value(field, NOON)


def _another(field: Field, number: int) -> object:
    return f"{number}" if isinstance(field, models.CharField) else plain_value(field, NOON)
