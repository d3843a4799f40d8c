"""The demo carrier in a test's database: Ninefold Larder Lines with its people, units, papers and policies."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest

from common import clock
from fixtures.scenario.stage import Stage
from fleet.demo_sign_ins import PASSWORD
from fleet.models import Person
from fleet.selectors.carrier import carriers_day
from fleet.services.demo import load_demo
from tests.support.committing import CommittingDatabase
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


@pytest.fixture
def ninefold(db: None) -> datetime:
    """The demo carrier in a database that rolls back; the instant of its loading."""
    now = clock.now()
    load(now)
    return now


@pytest.fixture
def ninefold_committed(committing_db: CommittingDatabase) -> CommittingDatabase:
    """The demo carrier in a database of its own, where everything commits."""
    load(clock.now())
    return committing_db


@pytest.fixture
def stage(ninefold_committed: CommittingDatabase, tmp_path: Path) -> Iterator[Stage]:
    """The people of the demo before a real server process; what they are told is printed."""
    with serving(ninefold_committed.web, tmp_path) as running:
        yield Stage(running.url, PASSWORD, print)
