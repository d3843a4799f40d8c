"""The demo carrier as of a standing noon, loaded once for a worker; what a test writes is rolled back or in a copy."""

from collections.abc import Iterator

import pytest
import time_machine
from pytest_django.plugin import DjangoDbBlocker

from config.database_url import Database
from tests.factories.fleet import NOON
from tests.support.committing import CommittingDatabase, committing
from tests.support.database import pointed_at
from tests.support.ninefold import load
from tests.support.prepared import copy_of, rolled_back


@pytest.fixture(scope="session")
def noon_template(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, database_server: Database, migrated_template: str
) -> Iterator[str]:
    """The name of a database that holds the demo carrier, to which nobody stays connected."""
    with copy_of(migrated_template, "noon", database_server) as name:
        with django_db_blocker.unblock(), pointed_at(name), time_machine.travel(NOON, tick=False):
            load(NOON)
        yield name


@pytest.fixture
def ninefold_at_noon(noon_template: str, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """The demo carrier in a transaction that is rolled back; the clock stands at NOON."""
    with time_machine.travel(NOON, tick=False), rolled_back(noon_template, django_db_blocker):
        yield


@pytest.fixture
def ninefold_at_noon_committed(
    noon_template: str, django_db_blocker: DjangoDbBlocker, database_server: Database
) -> Iterator[CommittingDatabase]:
    """The demo carrier in a database of the test's own, where everything commits; the clock stands at NOON."""
    with time_machine.travel(NOON, tick=False), committing(django_db_blocker, database_server, noon_template) as made:
        yield made
