"""The dock of `tests.factories.dispatch`, made once for a worker: it takes longer than most of what is tried there."""

from collections.abc import Iterator
from copy import deepcopy

import pytest
from pytest_django.plugin import DjangoDbBlocker

from config.database_url import Database
from tests.factories.dispatch import Dock, make_dock
from tests.support.prepared import copy_of, pointed_at, rolled_back

Prepared = tuple[str, Dock]


@pytest.fixture(scope="session")
def dock_template(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, database_server: Database, migrated_template: str
) -> Iterator[Prepared]:
    """The name of a database that holds the dock, and the dock itself."""
    with copy_of(migrated_template, "dock", database_server) as name:
        with django_db_blocker.unblock(), pointed_at(name):
            dock = make_dock()
        yield name, dock


@pytest.fixture
def standing_dock(dock_template: Prepared, django_db_blocker: DjangoDbBlocker) -> Iterator[Dock]:
    """A dock of the test's own, in a transaction that is rolled back. Goes with neither `db` nor its mark."""
    name, dock = dock_template
    with rolled_back(name, django_db_blocker):
        yield deepcopy(dock)
