"""A small carrier with histories, digests and a file, and an empty database to restore it into."""

import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from django.conf import settings
from django.test import override_settings
from psycopg import sql
from pytest_django.plugin import DjangoDbBlocker

from config.database_url import Database
from config.local.binaries import find
from config.local.places import runner
from fleet.models import StoredFile, Unit
from fleet.rules.documents.file_types import DOCUMENTS
from fleet.services.documents.files import store_file
from fleet.services.operation.backups.make import back_up
from fleet.services.records.digests import write_history_digest
from tests.factories.fleet import NOON, make_bare_unit, make_carrier, write_entries
from tests.support.committing import CommittingDatabase, committing
from tests.support.database import drop, maintaining, pointed_at


@dataclass(frozen=True)
class Installation:
    """What is backed up: the units, the file, and the folders beside the database."""

    units: list[Unit]
    file: StoredFile
    media: Path
    digests: Path


@dataclass(frozen=True)
class NewHost:
    """Where a backup is restored to."""

    database: str
    media: Path
    digests: Path


@pytest.fixture(autouse=True, scope="package")
def programs(django_db_setup: None) -> Iterator[None]:
    """The suite's own server is of the wheel's version; another one says in the environment where its programs are."""
    with override_settings(POSTGRESQL_PROGRAMS=settings.POSTGRESQL_PROGRAMS or find(runner())):
        yield


def install(folder: Path) -> Installation:
    """Write the carrier, its histories, its file and a digest."""
    make_carrier()
    units = [make_bare_unit("LR-41"), make_bare_unit("LR-42")]
    for unit in units:
        write_entries(unit, 3)
    file = store_file(content=b"%PDF-1.7 a scan", declared=None, allowed=DOCUMENTS, expected_sha256=None, now=NOON)
    write_history_digest(directory=folder / "digests", now=NOON)
    return Installation(units, file, folder / "media", folder / "digests")


@pytest.fixture
def installation(committing_db: CommittingDatabase, tmp_path: Path) -> Iterator[Installation]:
    """An installation that one test may change."""
    with override_settings(MEDIA_ROOT=tmp_path / "media", HISTORY_DIGEST_DIR=tmp_path / "digests"):
        yield install(tmp_path)


@dataclass(frozen=True)
class BackedUp:
    """An installation, the name of its database, and a backup of it; for all tests of a module, which copy it."""

    of: Installation
    database: str
    backup: Path


@pytest.fixture(scope="module")
def backed_up(
    django_db_setup: None,
    django_db_blocker: DjangoDbBlocker,
    database_server: Database,
    migrated_template: str,
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[BackedUp]:
    """Make it; Django's default connection stays at its database, where everything commits."""
    folder = tmp_path_factory.mktemp("backed-up")
    with (
        override_settings(MEDIA_ROOT=folder / "media", HISTORY_DIGEST_DIR=folder / "digests"),
        committing(django_db_blocker, database_server, migrated_template) as made,
    ):
        installed = install(folder)
        back_up(folder=folder / "backup", digests=installed.digests, now=NOON)
        yield BackedUp(installed, made.owner.name, folder / "backup")


@pytest.fixture
def backup(backed_up: BackedUp, tmp_path: Path) -> Path:
    """A copy of the backup, which a test may damage."""
    return Path(shutil.copytree(backed_up.backup, tmp_path / "backup"))


@pytest.fixture
def new_host(backed_up: BackedUp, database_server: Database, tmp_path: Path) -> Iterator[NewHost]:
    """Point the settings at a database without a table and at folders that are not there yet."""
    name = f"{backed_up.database}_target"
    with maintaining(database_server) as server:
        server.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
        media, digests = tmp_path / "new-media", tmp_path / "new-digests"
        with override_settings(MEDIA_ROOT=media, HISTORY_DIGEST_DIR=digests), pointed_at(name):
            yield NewHost(name, media, digests)
        drop(server, name)
