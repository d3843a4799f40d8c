"""The demo carrier as of a standing noon, loaded once for a worker; what a test writes is rolled back or in a copy."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
import time_machine
from django.db import connection, connections, transaction
from pytest_django.plugin import DjangoDbBlocker

from config.database_url import Database
from tests.factories.fleet import NOON
from tests.support.committing import CommittingDatabase, committing
from tests.support.database import clone, drop, maintaining
from tests.support.ninefold import load


@contextmanager
def pointed_at(name: str) -> Iterator[None]:
    """Point Django's default connection at another database, until the block ends."""
    settings = connections.settings["default"]
    before = settings["NAME"]
    connections.close_all()
    settings["NAME"] = name
    try:
        yield
    finally:
        connections.close_all()
        settings["NAME"] = before


@pytest.fixture(scope="session")
def noon_template(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, database_server: Database, migrated_template: str
) -> Iterator[str]:
    """The name of a database that holds the demo carrier, to which nobody stays connected."""
    name = f"{connections.settings['default']['NAME']}_noon"
    with maintaining(database_server) as server:
        clone(server, migrated_template, name)
        with django_db_blocker.unblock(), pointed_at(name), time_machine.travel(NOON, tick=False):
            load(NOON)
        yield name
        drop(server, name)


@pytest.fixture
def ninefold_at_noon(noon_template: str, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """The demo carrier in a transaction that is rolled back; the clock stands at NOON."""
    whole_test = transaction.atomic()
    whole_test._from_testcase = True  # type: ignore[attr-defined]  # as Django's own TestCase marks it
    with time_machine.travel(NOON, tick=False), django_db_blocker.unblock(), pointed_at(noon_template), whole_test:
        yield
        if not connection.needs_rollback:
            connection.check_constraints()
        transaction.set_rollback(True)


@pytest.fixture
def ninefold_at_noon_committed(
    noon_template: str, django_db_blocker: DjangoDbBlocker, database_server: Database
) -> Iterator[CommittingDatabase]:
    """The demo carrier in a database of the test's own, where everything commits; the clock stands at NOON."""
    with time_machine.travel(NOON, tick=False), committing(django_db_blocker, database_server, noon_template) as made:
        yield made
