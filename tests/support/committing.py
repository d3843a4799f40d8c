"""A database of its own for a test that commits, made as a copy of the migrated one in a few milliseconds.

Emptying tables is no way back: the append-only ones refuse it.
"""

import itertools
import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import pytest
from django.db import connections
from pytest_django.plugin import DjangoDbBlocker

from config.database_url import Database
from config.local.roles import PURGE, WEB
from tests.support.database import clone, drop, maintaining, pointed_at

_numbers = itertools.count(1)


@dataclass(frozen=True)
class CommittingDatabase:
    """The clone as each role; Django's default connection is the owner's."""

    owner: Database
    web: Database
    purge: Database


@contextmanager
def committing(blocker: DjangoDbBlocker, server: Database, template: str) -> Iterator[CommittingDatabase]:
    """Point Django's default connection, in every thread, at a fresh copy of a database; drop it afterwards."""
    name = f"{connections.settings['default']['NAME']}_clone_{next(_numbers)}"
    with blocker.unblock(), maintaining(server) as connection:
        clone(connection, template, name)
        try:
            with pointed_at(name):
                owner = server.with_name(name)
                web = owner.with_user(WEB, os.environ.get("WEB_ROLE_PASSWORD", ""))
                purge = owner.with_user(PURGE, os.environ.get("PURGE_ROLE_PASSWORD", ""))
                yield CommittingDatabase(owner=owner, web=web, purge=purge)
        finally:
            drop(connection, name)


@pytest.fixture
def committing_db(
    django_db_setup: None, django_db_blocker: DjangoDbBlocker, database_server: Database, migrated_template: str
) -> Iterator[CommittingDatabase]:
    """Point Django's default connection at a fresh copy of the migrated database; drop it afterwards."""
    with committing(django_db_blocker, database_server, migrated_template) as made:
        yield made
