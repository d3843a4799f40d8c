"""An upgrade as it happens: a used database of an earlier release is migrated while that release goes on serving.

The earlier release comes out of the project's own history; it makes its database, plays days of the scenario into it,
and is asked all the time while the present code migrates. Then the present code reads everything.
"""

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

import psycopg
import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
from django.db.models import Model
from psycopg import sql
from pytest_django import Settings
from pytest_django.plugin import DjangoDbBlocker

from common import clock
from common.jobs import Run, jobs
from config.database_url import Database
from config.env import CHECKOUT
from config.local.roles import PURGE, WEB
from defects.models import Walkaround
from fleet.enums import Role
from fleet.models import Person, PersonRole, Unit
from fleet.upgrades import LAST_BEFORE, STOP_FIRST
from tests.support.acting import acting_as
from tests.support.database import drop, maintaining, pointed_at
from tests.support.needs import need, need_program
from tests.support.phones import Phones, driving
from tests.support.routes import operations
from tests.support.server import serving

EARLIER = "15f80a8b4603eeea22722703a27a28d9cadf7fd7"
"""The release before: after the words of stored columns and documents were settled, before the walk had its forms."""
DAYS = (1, 5)
"""Of the scenario, played by that release."""

WAIT_S = 240.0
DESK = ("/api/v1/yard", "/api/v1/defects", "/api/v1/loads")
DESKS = {"cal": DESK, "hob": ("/api/v1/notices", *DESK)}
NEEDS_MORE = {"walk", "driver-reviews/pending", "audit-rehearsals", "signing-link", "exports/everything.zip"}

pytestmark = [pytest.mark.drill, pytest.mark.long, pytest.mark.timeout(600)]


def release_of(commit: str, folder: Path) -> Path:
    """Its tree in a folder of its own."""
    git = need_program("git")
    wanted = [git, "cat-file", "-e", f"{commit}^{{commit}}"]
    known = subprocess.run(wanted, cwd=CHECKOUT, capture_output=True, check=False)
    asked = [git, "rev-parse", "--is-shallow-repository"]
    if known.returncode != 0 and subprocess.check_output(asked, cwd=CHECKOUT, text=True).strip() == "true":
        pytest.skip("a shallow clone has no history, and nothing can be installed that brings it")
    need(known.returncode == 0, f"the history of the repository, with commit {commit}")
    tree, archive = folder / "old", folder / "old.tar"
    tree.mkdir()
    subprocess.run([git, "archive", f"--output={archive}", commit], cwd=CHECKOUT, check=True)
    subprocess.run(["tar", "--extract", f"--file={archive}", f"--directory={tree}"], check=True)
    return tree


@pytest.fixture
def database(
    django_db_setup: None, database_server: Database, django_db_blocker: DjangoDbBlocker
) -> Iterator[Database]:
    """An empty one; Django's default connection is pointed at it."""
    name = f"test_upgrade_{os.getpid()}"
    with maintaining(database_server) as server:
        server.execute(sql.SQL("CREATE DATABASE {}").format(sql.Identifier(name)))
    with django_db_blocker.unblock(), pointed_at(name):
        yield database_server.with_name(name)
    with maintaining(database_server) as server:
        drop(server, name)


PREPARE = ("-m", "config.prepare", f"--web-role={WEB}", f"--purge-role={PURGE}", "--quiet")


@dataclass(frozen=True)
class Release:
    """A tree of the code, run as an operator runs it, on a database and its files."""

    checkout: Path
    database: Database
    folder: Path

    def start(self, *words: str) -> "subprocess.Popen[bytes]":
        """Start a command; what it says goes to `said`."""
        with self.said.open("wb") as output:
            return subprocess.Popen(
                [sys.executable, *words],
                cwd=self.checkout,
                env={
                    **os.environ,
                    "DJANGO_SETTINGS_MODULE": "config.settings.test",
                    "LOCAL_DEMO": "1",
                    "LOCK_TIMEOUT_MS": "500",
                    "DATABASE_URL": self.database.url(),
                    "STATEMENT_TIMEOUT_MS": "0",
                    "IDLE_TRANSACTION_TIMEOUT_MS": "0",
                    "MEDIA_ROOT": str(self.folder / "media"),
                    "HISTORY_DIGEST_DIR": str(self.folder / "digests"),
                },
                stdin=subprocess.DEVNULL,
                stdout=output,
                stderr=output,
            )

    @property
    def said(self) -> Path:
        return self.folder / "said.log"

    def run(self, *words: str) -> None:
        """Run a command to its end."""
        assert self.start(*words).wait(WAIT_S) == 0, self.said.read_text()[-4000:]

    def prepare_while_tables_are_in_use(self) -> None:
        """Migrate while one transaction reads every table, as a dump does, until a step has been put off for it."""
        tables = sql.SQL(", ").join(sql.Identifier(model._meta.db_table) for model in tables_of_the_release_before())
        with psycopg.connect(self.database.url()) as reading:
            reading.execute(sql.SQL("LOCK TABLE {} IN ACCESS SHARE MODE").format(tables))
            running = self.start(*PREPARE)
            while running.poll() is None and "A table is in use" not in self.said.read_text():
                time.sleep(0.05)
        assert running.wait(WAIT_S) == 0, self.said.read_text()[-4000:]
        assert "A table is in use; the step is tried again" in self.said.read_text()


def tables_of_the_release_before() -> list[type[Model]]:
    there = connection.introspection.table_names()
    return [model for model in apps.get_models() if model._meta.db_table in there]


def test_upgrade__while_the_release_before_serves_or_once_it_is_stopped(
    database: Database, tmp_path: Path, settings: Settings
) -> None:
    old_release = release_of(EARLIER, tmp_path)
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    settings.MEDIA_ROOT, settings.HISTORY_DIGEST_DIR = tmp_path / "media", tmp_path / "digests"
    before, present = Release(old_release, database, tmp_path), Release(CHECKOUT, database, tmp_path)
    before.run(*PREPARE)
    before.run("manage.py", "load_demo")
    web = database.with_user(WEB, os.environ.get("WEB_ROLE_PASSWORD", ""))
    with serving(web, tmp_path, checkout=old_release) as old:
        for day in DAYS:
            before.run("manage.py", "replay_scenario", f"--day={day}", f"--address={old.url}")
        stop_first = bool(STOP_FIRST.keys() & pending())
        with ExitStack() as beside, driving(old.url, ("ada", "tomo"), DESKS) as phones:
            until = time.monotonic() + WAIT_S
            phones.wait_for(2, until)
            if not stop_first:
                present.prepare_while_tables_are_in_use()
                phones.wait_for(2, until)
                newer = beside.enter_context(driving_new(web, tmp_path))
                newer.wait_for(4, until)
                phones.wait_for(2, until)
    if stop_first:  # with the last connection of the release before gone
        present.run(*PREPARE)
        with driving_new(web, tmp_path) as newer:
            newer.wait_for(4, time.monotonic() + WAIT_S)
    assert phones.stuck == newer.stuck == []
    assert phones.came.keys() | newer.came.keys() <= {"200", "201", "503"}, phones.came + newer.came
    assert pending() == set()
    assert {*phones.acknowledged, *newer.acknowledged} <= set(Walkaround.objects.values_list("pk", flat=True))
    read_all(settings)


def test_database_from_before_the_migrations_were_joined__taken_over(database: Database, tmp_path: Path) -> None:
    before = Release(release_of(LAST_BEFORE, tmp_path), database, tmp_path)
    before.run(*PREPARE)
    before.run("manage.py", "load_demo")
    units = set(Unit.objects.values_list("number", flat=True))

    Release(CHECKOUT, database, tmp_path).run(*PREPARE)

    assert pending() == set()
    assert set(Unit.objects.values_list("number", flat=True)) == units != set()


@contextmanager
def driving_new(web: Database, folder: Path) -> Iterator[Phones]:
    """The present release served, with drivers of its own."""
    (folder / "new").mkdir()
    with serving(web, folder / "new") as new, driving(new.url, ("iris", "sol")) as newer:
        yield newer


def pending() -> set[tuple[str, str]]:
    """The migrations that the present code has and the database has not."""
    executor = MigrationExecutor(connection)
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes())
    return {(migration.app_label, migration.name) for migration, _ in plan}


def read_all(settings: Settings) -> None:
    """Every list, job and history, by the present code."""
    person = Person.objects.create(name="Somebody with every role")
    for role in Role:
        PersonRole.objects.create(person=person, role=role, starts_on="2026-01-01")
    caller = acting_as(person)
    lists = [each for each in operations() if each.method == "GET" and "<" not in each.route]
    for each in lists:
        if each.route not in NEEDS_MORE:
            answer = caller.get(each.path)
            assert answer.status_code == 200, (each.name, answer.content[:400])
            assert answer.streaming or b'"unreadable":[{' not in answer.content, each.name
    for job in jobs():
        job.run(Run(clock=clock.now))
    call_command("verify_history")
