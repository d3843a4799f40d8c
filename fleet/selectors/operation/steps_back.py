"""What undoing migrations would take with it. Changes nothing."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from django.db.migrations import AddField, CreateModel, Migration
from django.db.migrations.state import StateApps
from django.db.models import Field, Model, Q, QuerySet

from fleet.upgrades import FORGETTABLE


def lost_by_undoing(migrations: Sequence[Migration], apps: StateApps) -> list[str]:
    """Each table and column of theirs that says something, with the number of rows: it would be dropped with them.

    `apps` are the models as the database has them. Null, an empty text and the column's default say nothing.
    """
    dropped = (each for migration in migrations for each in _dropped(migration, apps))
    return [f"{name} ({count} rows)" for name, count in dropped if count and name not in FORGETTABLE]


def _dropped(migration: Migration, apps: StateApps) -> Iterator[tuple[str, int]]:
    models = apps.all_models[migration.app_label]
    for operation in migration.operations:
        if isinstance(operation, CreateModel) and operation.name_lower in models:
            name, rows = _table(models[operation.name_lower])
            yield name, rows.count()
        elif isinstance(operation, AddField) and operation.model_name_lower in models:
            name, rows = _table(models[operation.model_name_lower])
            fields = [field for field in _fields(rows.model) if field.name == operation.name]
            yield f"{name}.{operation.name}", sum(rows.exclude(_empty(field)).count() for field in fields)


def _table(model: type[Model]) -> tuple[str, QuerySet[Any]]:
    return model._meta.db_table, model._default_manager.all()  # noqa: SLF001 - Django's documented model API


def _fields(model: type[Model]) -> Iterable["Field[Any, Any]"]:
    return model._meta.concrete_fields  # noqa: SLF001 - Django's documented model API


def _empty(field: "Field[Any, Any]") -> Q:
    nothing = Q(**{f"{field.name}__isnull": True})
    if field.has_default() or field.empty_strings_allowed:
        nothing |= Q(**{field.name: field.get_default()})
    if field.has_db_default():
        nothing |= Q(**{field.name: field.db_default})
    return nothing
