"""The database as it is after long use: made once for a worker, and copied for each test."""

import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from django.test import override_settings
from pytest_django import Settings
from pytest_django.plugin import DjangoDbBlocker

from common import clock
from config.database_url import Database
from config.local.roles import WEB
from fixtures.demo.sign_ins import PASSWORD
from fixtures.scenario.days import DAYS
from fixtures.scenario.stage import Stage
from fleet.enums import Role
from fleet.models import Person, PersonRole
from tests.lived.filling import fill
from tests.support.acting import Device, acting_as
from tests.support.committing import committing
from tests.support.database import clone, drop, maintaining, pointed_at
from tests.support.ninefold import learning, loaded_database
from tests.support.prepared import rolled_back
from tests.support.server import serving

EVERYBODY = frozenset(Role)


@dataclass(frozen=True)
class LivedIn:
    """The name of the database, and where its files lie."""

    name: str
    folder: Path
    readers: Mapping[frozenset[Role], Device]
    """Somebody who holds all roles, and somebody for each role who holds that one."""
    web: Database | None = None
    """A committing copy as the web process's role, where a test has one."""


@pytest.fixture(scope="session")
def lived_in(
    django_db_setup: None,
    django_db_blocker: DjangoDbBlocker,
    database_server: Database,
    migrated_template: str,
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[LivedIn]:
    """Every day of the scenario one after the other, then a row in every table and a value in every column."""
    folder = tmp_path_factory.mktemp("lived")
    with django_db_blocker.unblock():
        loaded = loaded_database(database_server, migrated_template)
        name = f"{loaded.name}_lived"
        with maintaining(database_server) as connection:
            clone(connection, loaded.name, name)
        web = database_server.with_name(name).with_user(WEB, os.environ.get("WEB_ROLE_PASSWORD", ""))
        with serving(web, folder) as running:
            stage = Stage(running.url, PASSWORD, lambda _: None, learning(name, django_db_blocker))
            for number in sorted(DAYS):
                DAYS[number].play(stage)
        with pointed_at(name), override_settings(MEDIA_ROOT=folder / "media"):
            fill(clock.now())
            readers = {roles: reader_with(roles) for roles in (EVERYBODY, *(frozenset({role}) for role in Role))}
    yield LivedIn(name, folder, readers)
    with maintaining(database_server) as connection:
        drop(connection, name)


def reader_with(roles: frozenset[Role]) -> Device:
    person = Person.objects.create(name=f"Reader {len(roles)}", username=None)
    for role in roles:
        PersonRole.objects.create(person=person, role=role, starts_on="2026-01-01")
    return acting_as(person)


@pytest.fixture
def lived(lived_in: LivedIn, django_db_blocker: DjangoDbBlocker, settings: Settings) -> Iterator[LivedIn]:
    """It, under Django's default connection; what a test writes is rolled back."""
    _point_to_files(lived_in, settings)
    with rolled_back(lived_in.name, django_db_blocker):
        yield lived_in


@pytest.fixture
def lived_committed(
    lived_in: LivedIn, django_db_blocker: DjangoDbBlocker, database_server: Database, settings: Settings
) -> Iterator[LivedIn]:
    """A copy of it for one test, where everything commits."""
    _point_to_files(lived_in, settings)
    with committing(django_db_blocker, database_server, lived_in.name) as made:
        yield replace(lived_in, web=made.web)


def _point_to_files(lived_in: LivedIn, settings: Settings) -> None:
    settings.MEDIA_ROOT = lived_in.folder / "media"
    settings.HISTORY_DIGEST_DIR = lived_in.folder / "digests"
