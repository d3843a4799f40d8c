"""The yard and the dock of the factories, made once for a worker: making them takes longer than most tests do."""

from collections.abc import Iterator
from copy import deepcopy

import pytest
from pytest_django.plugin import DjangoDbBlocker

from config.database_url import Database
from defects.selectors.catalogue.catalogue import catalogue_in_force
from defects.services.defects.sightings import store_catalogue
from fleet.selectors.carrier.carrier import effective_policies
from tests.factories.fleet import NOON
from tests.support.database import pointed_at
from tests.support.dock import Dock, make_dock
from tests.support.prepared import copy_of, rolled_back
from tests.support.yard import Yard, make_yard


@pytest.fixture(scope="session")
def yard_template(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, database_server: Database, migrated_template: str
) -> Iterator[tuple[str, Yard]]:
    """The name of a database that holds the yard, and the yard itself."""
    with copy_of(migrated_template, "yard", database_server) as name:
        with django_db_blocker.unblock(), pointed_at(name):
            yard = make_yard()
            in_force = catalogue_in_force(effective_policies(now=NOON).policies)
            store_catalogue(in_force, now=NOON)  # which is large, and would be by each test's first walk
        yield name, yard


@pytest.fixture(scope="session")
def dock_template(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, database_server: Database, migrated_template: str
) -> Iterator[tuple[str, Dock]]:
    """The name of a database that holds the dock, and the dock itself."""
    with copy_of(migrated_template, "dock", database_server) as name:
        with django_db_blocker.unblock(), pointed_at(name):
            dock = make_dock()
        yield name, dock


@pytest.fixture
def yard(yard_template: tuple[str, Yard], django_db_blocker: DjangoDbBlocker) -> Iterator[Yard]:
    """A yard of the test's own, in a transaction that is rolled back; it brings a database of its own."""
    name, yard = yard_template
    with rolled_back(name, django_db_blocker):
        yield deepcopy(yard)


@pytest.fixture
def dock(dock_template: tuple[str, Dock], django_db_blocker: DjangoDbBlocker) -> Iterator[Dock]:
    """A dock of the test's own, in a transaction that is rolled back; it brings a database of its own."""
    name, dock = dock_template
    with rolled_back(name, django_db_blocker):
        yield deepcopy(dock)
