"""Each migration that may not run beside the release before is named, with the reason, in `fleet.upgrades`."""

import re
from collections.abc import Iterator

import pytest
from django.apps import apps
from django.db import migrations, models
from django.db.migrations import Migration
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.operations.base import Operation
from django.db.migrations.state import ProjectState

from fleet.upgrades import STOP_FIRST

OURS = {"fleet", "defects", "workorders"}
TAKES_AWAY = (migrations.RemoveField, migrations.RenameField, migrations.DeleteModel, migrations.RenameModel)
IN_SQL = re.compile(r"\bDROP\s+(TABLE|COLUMN)|\bRENAME\b|\bSET\s+NOT\s+NULL", re.IGNORECASE)


def why_not_beside(operation: Operation, app: str, before: ProjectState) -> Iterator[str]:
    """What the release before would stumble over while it serves."""
    if isinstance(operation, TAKES_AWAY):
        yield "takes away what is still read"
    elif isinstance(operation, migrations.AddField):
        field = operation.field
        if not (field.null or field.many_to_many or field.has_db_default()):
            yield "a column that the release before does not fill"
    elif isinstance(operation, migrations.AlterField):
        old = before.models[app, operation.model_name_lower].fields[operation.name]
        if narrower(old, operation.field):
            yield "a column that takes less than before"
    elif isinstance(operation, migrations.RunSQL):
        if IN_SQL.search(str(operation.sql)):
            yield "SQL that takes away"
    elif isinstance(operation, migrations.SeparateDatabaseAndState):
        for part in operation.database_operations:
            yield from why_not_beside(part, app, before)


def narrower(old: "models.Field[object, object]", new: "models.Field[object, object]") -> bool:
    """Whether a value of before may be refused."""
    if type(old) is not type(new):
        return True
    shorter = (new.max_length or 0) < (old.max_length or 0)
    return shorter or (old.null and not new.null and not new.has_db_default())


def after_the_first() -> Iterator[tuple[Migration, list[str]]]:
    """Every migration after the first of its app, with what speaks against running it beside the release before."""
    loader = MigrationLoader(None)
    state = ProjectState()
    for key in dict.fromkeys(key for leaf in loader.graph.leaf_nodes() for key in loader.graph.forwards_plan(leaf)):
        migration = loader.graph.nodes[key]
        if not migration.initial and migration.app_label in OURS:
            steps = migration.operations
            yield migration, [why for step in steps for why in why_not_beside(step, migration.app_label, state)]
        migration.mutate_state(state, preserve=False)


def test_migrations_that_may_not_run_beside_the_release_before__are_named() -> None:
    found = {(each.app_label, each.name): why for each, why in after_the_first() if why}
    assert found.keys() <= STOP_FIRST.keys(), found
    assert all(STOP_FIRST.values())
    known = {(each.app_label, each.name) for each, _ in after_the_first()}
    assert STOP_FIRST.keys() <= known


@pytest.mark.parametrize(
    ("operation", "stumbles"),
    [
        (migrations.RemoveField("unit", "make"), True),
        (migrations.AddField("unit", "odd", models.CharField(max_length=9, default="")), True),
        (migrations.AddField("unit", "odd", models.CharField(max_length=9, default="", db_default="")), False),
        (migrations.AddField("unit", "odd", models.DateField(null=True)), False),
        (migrations.AlterField("unit", "make", models.CharField(max_length=2)), True),
        (migrations.AlterField("unit", "make", models.CharField(max_length=200)), False),
        (migrations.RunSQL("ALTER TABLE fleet_unit DROP COLUMN make"), True),
        (migrations.RunSQL("SELECT 1"), False),
        (migrations.CreateModel("Odd", [("id", models.BigAutoField(primary_key=True))]), False),
    ],
)
def test_operation__is_judged(operation: Operation, stumbles: bool) -> None:
    state = ProjectState.from_apps(apps)
    assert bool(list(why_not_beside(operation, "fleet", state))) is stumbles
