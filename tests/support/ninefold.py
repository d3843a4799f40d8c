"""The demo carrier in a test's database: Ninefold Larder Lines with its people, units, documents and policies."""

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime

import pytest
from django.db import connections
from pytest_django.plugin import DjangoDbBlocker

from common import clock
from config.database_url import Database
from config.local.roles import WEB
from fixtures.demo.loading import load_demo
from fixtures.demo.sign_ins import PASSWORD
from fixtures.scenario.stage import Stage
from fleet.models import Person
from fleet.selectors.carrier.carrier import carriers_day
from fleet.services.cooling.learning import learn_from_readings
from tests.support.committing import CommittingDatabase, committing
from tests.support.database import clone, drop, maintaining, pointed_at
from tests.support.prepared import rolled_back
from tests.support.server import serving


def load(now: datetime) -> None:
    """Load the demo carrier as of an instant."""
    load_demo(password=PASSWORD, today=carriers_day(now), now=now)


def person(username: str, *roles: str) -> Person:
    """A person of the demo, signed in with these roles or else with their own."""
    found = Person.objects.get(username=username)
    held = roles or found.roles.values_list("role", flat=True)
    found.current_roles = frozenset(held)
    return found


@dataclass(frozen=True)
class Loaded:
    """A database of this worker with the demo carrier in it, which nobody writes into, and when it was loaded.

    `rolling` is a copy for tests that roll back: what they draw from sequences stays drawn.
    """

    server: Database
    name: str
    rolling: str
    at: datetime


_loaded: dict[date, Loaded] = {}
"""By the day of the clock, which some tests hold still: the demo's documents run from the day of its loading."""


def loaded_database(server: Database, template: str) -> Loaded:
    """The worker's database with the demo carrier of the clock's day, loaded by whoever asks first."""
    day = clock.now().date()
    if day not in _loaded:
        name = f"{connections.settings['default']['NAME']}_ninefold_{day:%Y%m%d}"
        with maintaining(server) as connection:
            clone(connection, template, name)
        with pointed_at(name):
            now = clock.now()
            load(now)
        rolling = f"{name}_rolling"
        with maintaining(server) as connection:
            clone(connection, name, rolling)
        _loaded[day] = Loaded(server, name, rolling, now)
    return _loaded[day]


def pytest_sessionfinish() -> None:
    """Drop what this worker loaded, while the server is still there."""
    for loaded in _loaded.values():
        with maintaining(loaded.server) as connection:
            drop(connection, loaded.rolling)
            drop(connection, loaded.name)


@pytest.fixture
def ninefold(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, database_server: Database, migrated_template: str
) -> Iterator[datetime]:
    """The demo carrier in a database that rolls back; the instant of its loading."""
    with django_db_blocker.unblock():
        if connections["default"].in_atomic_block:
            pytest.fail("ask for `ninefold` before `db` and what needs it: it brings a database of its own")
        loaded = loaded_database(database_server, migrated_template)
    with rolled_back(loaded.rolling, django_db_blocker):
        yield loaded.at


@pytest.fixture
def ninefold_committed(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, database_server: Database, migrated_template: str
) -> Iterator[CommittingDatabase]:
    """The demo carrier in a database of its own, where everything commits."""
    with django_db_blocker.unblock():
        loaded = loaded_database(database_server, migrated_template)
    with committing(django_db_blocker, database_server, loaded.name) as made:
        yield made


@dataclass(frozen=True)
class Standing:
    """A server process that stays for all tests of this worker, and the name of the database it looks for."""

    url: str
    database: Database


@pytest.fixture(scope="session")
def standing_server(
    django_db_setup: None, database_server: Database, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Standing]:
    """A server over a database that each test makes anew: it drops a lost connection and makes another."""
    database = database_server.with_name(f"{connections.settings['default']['NAME']}_stage").with_user(
        WEB, os.environ.get("WEB_ROLE_PASSWORD", "")
    )
    with serving(database, tmp_path_factory.mktemp("stage")) as running:
        yield Standing(running.url, database)
    with maintaining(database_server) as connection:
        drop(connection, database.name)


def learning(database: str, blocker: DjangoDbBlocker) -> Callable[[], None]:
    """What does in a database the one job that a day of the scenario waits for."""

    def learn() -> None:
        with blocker.unblock(), pointed_at(database):
            learn_from_readings(now=clock.now())

    return learn


@pytest.fixture
def stage(
    standing_server: Standing, django_db_blocker: DjangoDbBlocker, database_server: Database, migrated_template: str
) -> Stage:
    """The people of the demo before a real server process, their carrier as loaded; what they are told is printed."""
    with django_db_blocker.unblock():
        loaded = loaded_database(database_server, migrated_template)
    with maintaining(database_server) as connection:
        drop(connection, standing_server.database.name)
        clone(connection, loaded.name, standing_server.database.name)
    return Stage(standing_server.url, PASSWORD, print, learning(standing_server.database.name, django_db_blocker))
