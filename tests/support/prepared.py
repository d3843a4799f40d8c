"""Databases that are filled once for a worker: a test reads and writes in a transaction that is rolled back."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, connections, transaction
from pytest_django.plugin import DjangoDbBlocker

from config.database_url import Database
from tests.support.database import clone, drop, kept_open, maintaining


@contextmanager
def copy_of(template: str, name: str, server_at: Database) -> Iterator[str]:
    """A migrated database of its own, gone when the block ends; nobody stays connected to it."""
    whole_name = f"{connections.settings['default']['NAME']}_{name}"
    with maintaining(server_at) as server:
        clone(server, template, whole_name)
        yield whole_name
        drop(server, whole_name)


@contextmanager
def rolled_back(name: str, blocker: DjangoDbBlocker) -> Iterator[None]:
    """One test in a prepared database: constraints are checked at its end, then all that it wrote is rolled back."""
    whole_test = transaction.atomic()
    whole_test._from_testcase = True  # type: ignore[attr-defined]  # as Django's own TestCase marks it
    with blocker.unblock(), kept_open(name), whole_test:
        yield
        if not connection.needs_rollback:
            connection.check_constraints()
        transaction.set_rollback(True)
