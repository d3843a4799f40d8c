"""Django's `migrate`, beside a release that serves and back again: refused, before it begins, where that does harm."""

from collections.abc import Iterable
from typing import Any

from django.core.management.base import CommandError
from django.core.management.commands import migrate
from django.db import DatabaseError, connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations import Migration
from django.db.migrations.exceptions import IrreversibleError
from django.db.migrations.executor import MigrationExecutor
from django.db.migrations.recorder import MigrationRecorder

from fleet import upgrades
from fleet.selectors.operation import migrations
from fleet.selectors.operation.steps_back import lost_by_undoing

INSTEAD = "Nothing was changed. To go back, restore the backup from before the upgrade (docs/operation.md, Going back)."


class Command(migrate.Command):
    """Forward step by step, as Django does it; backward in one transaction, and only where nothing is lost by it."""

    def handle(self, *args: Any, **options: Any) -> str | None:
        """Migrate; CommandError before anything is changed where it is refused."""
        connection = connections[options["database"]]
        _refuse_too_old(connection)
        executor = MigrationExecutor(connection)
        forward, back = _steps(executor, options["app_label"], options["migration_name"])
        if options["plan"] or not (forward or back):
            return super().handle(*args, **options)
        _refuse_beside_others(forward, connection)
        if not back:
            return super().handle(*args, **options)
        there = [key for key in executor.loader.applied_migrations if key in executor.loader.graph.nodes]
        lost = lost_by_undoing(back, executor.loader.project_state(there).apps)
        if lost:
            raise CommandError(f"Going back would drop what is on record: {', '.join(lost)}. {INSTEAD}")
        try:
            with transaction.atomic(using=options["database"]), connection.cursor() as cursor:
                cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
                return super().handle(*args, **options)
        except (DatabaseError, IrreversibleError) as why:
            raise CommandError(f"Going back fails: {' '.join(str(why).split())} {INSTEAD}") from why


def _steps(executor: MigrationExecutor, app: str | None, name: str | None) -> tuple[list[Migration], list[Migration]]:
    """What would be done, and what undone; nothing for names that Django's command refuses."""
    graph, loader = executor.loader.graph, executor.loader
    targets: list[Any] = [key for key in graph.leaf_nodes() if app in {None, key[0]}]
    if app and name:
        try:
            targets = [(app, None if name == "zero" else loader.get_migration_by_prefix(app, name).name)]
        except LookupError:
            targets = []
    plan = executor.migration_plan(targets)
    return [step for step, back in plan if not back], [step for step, back in plan if back]


def _refuse_beside_others(forward: Iterable[Migration], connection: BaseDatabaseWrapper) -> None:
    """Steps that the release before would stumble over wait until it is stopped."""
    named = {step: upgrades.STOP_FIRST.get((step.app_label, step.name)) for step in forward}
    reasons = [f"{step.app_label} {step.name}: {why}" for step, why in named.items() if why]
    if not reasons:
        return
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() AND usename <> current_user"
        )
        (others,) = cursor.fetchone()
    if others:
        raise CommandError(
            f"This upgrade may not run while the release before serves ({'; '.join(reasons)}), and {others} of its "
            "sessions are connected. Nothing was changed. Stop the web, worker and beat processes, then run it again."
        )


def _refuse_too_old(connection: BaseDatabaseWrapper) -> None:
    """A database that stopped among the migrations which were joined is taken to the last of them first."""
    if missing := migrations.lacking(set(MigrationRecorder(connection).applied_migrations())):
        names = ", ".join(f"{app}.{name}" for app, name in missing[:3])
        raise CommandError(
            f"This database is of an earlier release: it lacks {names}. Nothing was changed. Upgrade it to commit "
            f"{upgrades.LAST_BEFORE} first, then run this again."
        )
