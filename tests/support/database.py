"""The suite's PostgreSQL server and the migrated databases on it.

One server for the whole run, owned by the process that a person started and not by its workers. With
DATABASE_URL set that server is used instead: its role must be able to create databases, and a role for
the web process must stand beside it (`config.local.roles`).
"""

import gc
import os
import time
from collections.abc import Iterator
from contextlib import contextmanager

import psycopg
import pytest
from django.core.management import call_command
from django.db import connections
from django.db.backends.base.base import BaseDatabaseWrapper
from psycopg import sql
from pytest_django.plugin import DjangoDbBlocker

from config.database_url import Database, parse
from config.local.postgres import LocalPostgres, throwaway
from config.local.roles import PURGE, WEB

URL = pytest.StashKey[str]()
SERVER = pytest.StashKey[LocalPostgres]()
DROP_ATTEMPTS = 25
_open: dict[str, BaseDatabaseWrapper] = {}
"""Connections that stay open between tests, by the name of their database: a new one is slow to know the tables."""
MIGRATING = 5_730_114
"""The number of the advisory lock under which one worker migrates for all."""


def url_for(config: pytest.Config) -> str:
    """Return the address that the owner's role connects to; start the server when nobody has."""
    if URL not in config.stash:
        given = getattr(config, "workerinput", {}).get("database_url") or os.environ.get("DATABASE_URL")
        if not given:
            config.stash[SERVER] = LocalPostgres(throwaway(durable=False))
            given = config.stash[SERVER].owner.url()
        config.stash[URL] = given
    return config.stash[URL]


def run_of(config: pytest.Config) -> str:
    """Return what tells this run's databases from another's on the same server; the same in every worker."""
    run: str = getattr(config, "workerinput", {}).get("run", str(os.getpid()))
    return run


@pytest.hookimpl(optionalhook=True)
def pytest_configure_node(node: object) -> None:
    """Tell a worker the address and the run before it starts."""
    config: pytest.Config = node.config  # type: ignore[attr-defined]  # xdist has no types
    node.workerinput.update(database_url=url_for(config), run=run_of(config))  # type: ignore[attr-defined]  # as above


def pytest_unconfigure(config: pytest.Config) -> None:
    """Stop the server, files and all; on a server of someone else's remove what this run made."""
    if SERVER in config.stash:
        config.stash[SERVER].stop()
    elif URL in config.stash and not hasattr(config, "workerinput"):
        with maintaining(parse(config.stash[URL])) as connection:
            drop(connection, template_of(config))


def template_of(config: pytest.Config) -> str:
    """Return the name of the migrated database that all others of the run are copies of."""
    return f"test_{run_of(config)}_template"


@contextmanager
def maintaining(server: Database) -> Iterator["psycopg.Connection[tuple[object, ...]]"]:
    """Connect beside the databases under test, to make and drop them."""
    with psycopg.connect(server.with_name("postgres").url(), autocommit=True) as connection:
        yield connection


@contextmanager
def pointed_at(name: str) -> Iterator[None]:
    """Let Django's default connection, in every thread, lead to another database until the block ends."""
    with _led_by(connections.create_connection("default"), name) as made:
        try:
            yield
        finally:
            connections.close_all()
            made.close()


@contextmanager
def kept_open(name: str) -> Iterator[None]:
    """The same over a connection that stays open for the next test, until its database is copied or dropped."""
    if name not in _open:
        _open[name] = connections.create_connection("default")
    with _led_by(_open[name], name) as made:
        try:
            yield
        finally:
            if made.in_atomic_block or made.closed_in_transaction:
                _let_go(name)


@contextmanager
def _led_by(made: BaseDatabaseWrapper, name: str) -> Iterator[BaseDatabaseWrapper]:
    settings = connections.settings["default"]
    before, connection_before = settings["NAME"], connections["default"]
    settings["NAME"] = name
    connections["default"] = made
    try:
        yield made
    finally:
        connections["default"] = connection_before
        settings["NAME"] = before


def _let_go(name: str) -> None:
    if name in _open:
        _open.pop(name).close()


def clone(connection: "psycopg.Connection[tuple[object, ...]]", template: str, name: str) -> None:
    """Make a database as a copy of another, to which nobody else may be connected.

    Copying files instead of logging every page takes an eighth of the time where nothing is synced to disk.
    """
    _let_go(template)
    statement = sql.SQL("CREATE DATABASE {} TEMPLATE {} STRATEGY file_copy")
    connection.execute(statement.format(sql.Identifier(name), sql.Identifier(template)))


def drop(connection: "psycopg.Connection[tuple[object, ...]]", name: str) -> None:
    """Remove a database, whoever is still connected; the server's own vacuuming cannot be ended and is waited for."""
    _let_go(name)
    statement = sql.SQL("DROP DATABASE IF EXISTS {} WITH (FORCE)").format(sql.Identifier(name))
    for attempt in range(DROP_ATTEMPTS):
        try:
            connection.execute(statement)
        except psycopg.errors.InsufficientPrivilege:
            if attempt == DROP_ATTEMPTS - 1:
                raise
            time.sleep(0.2)
        else:
            return


@pytest.fixture(scope="session")
def database_server(request: pytest.FixtureRequest) -> Database:
    """Return the server as the owner's role; its database is not the one under test."""
    return parse(url_for(request.config))


@pytest.fixture(scope="session")
def migrated_template(
    request: pytest.FixtureRequest,
    django_test_environment: None,
    django_db_blocker: DjangoDbBlocker,
    database_server: Database,
) -> str:
    """Return the migrated database's name, made by whichever worker comes first; nobody stays connected to it."""
    name = template_of(request.config)
    _point_django_at(database_server, name)
    with maintaining(database_server) as connection:
        connection.execute("SELECT pg_advisory_lock(%s)", [MIGRATING])
        there = connection.execute("SELECT 1 FROM pg_database WHERE datname = %s", [name]).fetchone()
        if there is None:
            connection.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
            try:
                with django_db_blocker.unblock():
                    gc.disable()  # as `config.prepare` does
                    call_command("migrate", interactive=False, verbosity=0)
                    gc.enable()
                    call_command("grant_web_role", role=WEB, verbosity=0)
                    call_command("grant_purge_role", role=PURGE, verbosity=0)
                    connections.close_all()
            except Exception:
                drop(connection, name)  # the next worker must not take it for a whole one
                raise
    return name


def _point_django_at(server: Database, name: str) -> None:
    connections.settings["default"].update(
        NAME=name, USER=server.user, PASSWORD=server.password, HOST=server.host, PORT=server.port
    )


@pytest.fixture(scope="session")
def django_db_setup(
    request: pytest.FixtureRequest,
    django_db_blocker: DjangoDbBlocker,
    database_server: Database,
    migrated_template: str,
) -> Iterator[None]:
    """Give this worker a database of its own for tests that roll back; pytest-django asks for this by name."""
    worker = getattr(request.config, "workerinput", {}).get("workerid", "alone")
    name = f"test_{run_of(request.config)}_{worker}"
    with maintaining(database_server) as connection:
        clone(connection, migrated_template, name)
        connections.settings["default"]["NAME"] = name
        yield
        with django_db_blocker.unblock():
            connections.close_all()
        drop(connection, name)
