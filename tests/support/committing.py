"""A database of its own for a test that commits, made as a copy of the migrated one in a few milliseconds.

Emptying tables is no way back: the append-only ones refuse it.
"""

import itertools
import os
from collections.abc import Iterator
from dataclasses import dataclass

import psycopg
import pytest
from django.db import connections
from psycopg import sql
from pytest_django.plugin import DjangoDbBlocker

from config.database_url import Database
from config.local.roles import WEB

_numbers = itertools.count(1)


@dataclass(frozen=True)
class CommittingDatabase:
    """The clone as both roles; Django's default connection is the owner's."""

    owner: Database
    web: Database


@pytest.fixture
def committing_db(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, database_server: Database
) -> Iterator[CommittingDatabase]:
    """Point Django's default connection, in every thread, at a fresh clone; drop it afterwards."""
    settings = connections.settings["default"]
    migrated = settings["NAME"]
    clone = f"{migrated}_clone_{os.getpid()}_{next(_numbers)}"
    with (
        django_db_blocker.unblock(),
        psycopg.connect(database_server.with_name("postgres").url(), autocommit=True) as c,
    ):
        connections.close_all()
        c.execute(sql.SQL("CREATE DATABASE {} TEMPLATE {}").format(sql.Identifier(clone), sql.Identifier(migrated)))
        settings["NAME"] = clone
        try:
            owner = database_server.with_name(clone)
            yield CommittingDatabase(owner=owner, web=owner.with_user(WEB, os.environ.get("WEB_ROLE_PASSWORD", "")))
        finally:
            connections.close_all()
            settings["NAME"] = migrated
            c.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(clone)))
