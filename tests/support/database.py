"""The suite's PostgreSQL server and its migrated test database.

One server for the whole run, owned by the process that a person started and not by its workers; with
DATABASE_URL set, that server is used instead and its role must be able to create databases.
"""

import os
from collections.abc import Iterator

import pytest
from django.core.management import call_command
from django.db import connections
from django.test.utils import setup_databases, teardown_databases
from pytest_django.plugin import DjangoDbBlocker

from config.database_url import Database, parse
from config.local.postgres import LocalPostgres, throwaway
from config.local.roles import WEB

URL = pytest.StashKey[str]()
SERVER = pytest.StashKey[LocalPostgres]()


def url_for(config: pytest.Config) -> str:
    """Return the address that the owner's role connects to; start the server when nobody has."""
    given = os.environ.get("DATABASE_URL") or getattr(config, "workerinput", {}).get("database_url")
    if given:
        return str(given)
    if URL not in config.stash:
        config.stash[SERVER] = LocalPostgres(throwaway(durable=False))
        config.stash[URL] = config.stash[SERVER].owner.url()
    return config.stash[URL]


@pytest.hookimpl(optionalhook=True)
def pytest_configure_node(node: object) -> None:
    """Give a worker the address before it starts."""
    config: pytest.Config = node.config  # type: ignore[attr-defined]  # xdist has no types
    node.workerinput["database_url"] = url_for(config)  # type: ignore[attr-defined]  # as above


def pytest_unconfigure(config: pytest.Config) -> None:
    """Stop the server; its files go with it."""
    if SERVER in config.stash:
        config.stash[SERVER].stop()


@pytest.fixture(scope="session")
def database_server(request: pytest.FixtureRequest) -> Database:
    """Return the server as the owner's role; its database is not the one under test."""
    return parse(url_for(request.config))


@pytest.fixture(scope="session")
def django_db_modify_db_settings(database_server: Database, django_db_modify_db_settings_parallel_suffix: None) -> None:
    """Point Django at the suite's server; the settings name none."""
    suffix = connections.settings["default"]["TEST"]["NAME"]
    connections.settings["default"].update(
        NAME=database_server.name,
        USER=database_server.user,
        PASSWORD=database_server.password,
        HOST=database_server.host,
        PORT=database_server.port,
    )
    if suffix:
        worker = suffix.rpartition("_")[2]
        connections.settings["default"]["TEST"]["NAME"] = f"test_{database_server.name}_{worker}"


@pytest.fixture(scope="session")
def django_db_setup(
    django_test_environment: None, django_db_modify_db_settings: None, django_db_blocker: DjangoDbBlocker
) -> Iterator[None]:
    """Create and migrate the test database; tests that commit get clones of it."""
    with django_db_blocker.unblock():
        made = setup_databases(verbosity=0, interactive=False)
        call_command("grant_web_role", role=WEB, verbosity=0)
    yield
    with django_db_blocker.unblock():
        teardown_databases(made, verbosity=0)
