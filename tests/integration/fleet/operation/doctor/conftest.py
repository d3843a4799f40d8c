"""A broker of this folder's own, and Django at work as the web role."""

from collections.abc import Iterator

import pytest
from django.core.management import call_command
from django.db import connections

from config.local.roles import PURGE, WEB
from tests.support.broker import broker
from tests.support.committing import CommittingDatabase

__all__ = ["broker"]


@pytest.fixture
def as_web(committing_db: CommittingDatabase) -> Iterator[CommittingDatabase]:
    """Django works as the web role; the grants of the database itself are not copied with a clone."""
    call_command("grant_web_role", role=WEB, verbosity=0)
    call_command("grant_purge_role", role=PURGE, verbosity=0)
    told = connections.settings["default"]
    owner = told["USER"]
    connections.close_all()
    told["USER"] = WEB
    yield committing_db
    connections.close_all()
    told["USER"] = owner
