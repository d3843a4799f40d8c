"""A used installation backed up while people write, and restored on another host: whole, verified, and answering alike.

By the commands as an operator gives them, into a new cluster with its roles; then by signing in and asking.
"""

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from threading import Event, Thread

import psycopg
import pytest
from psycopg import sql

from config.database_url import Database
from config.env import CHECKOUT
from config.local.binaries import find
from config.local.places import runner
from config.local.postgres import LocalPostgres, throwaway
from config.local.roles import PURGE, WEB
from fixtures.demo.sign_ins import PASSWORD
from fixtures.scenario.client import Answer
from fixtures.scenario.stage import Stage
from fleet.services.operation.backups.manifest import COPIED, listed_files, read_backup
from fleet.services.operation.file_stores.folder import Folder
from fleet.services.records.digests import sha256_of
from tests.lived.conftest import LivedIn
from tests.support.server import serving

pytestmark = [pytest.mark.drill, pytest.mark.long, pytest.mark.timeout(240)]

UNITS = ["NL-14", "LR-45"]
COMMAND_S = 120.0
COUNT = sql.SQL("SELECT count(*) FROM {}")


@dataclass(frozen=True)
class Host:
    """Where an installation runs: its database as the owner, its folders, the programs of its PostgreSQL."""

    owner: Database
    folder: Path
    programs: Path

    def command(self, *words: str, expect: int = 0) -> str:
        """Run Python as an operator does; what it prints."""
        done = subprocess.run(
            [sys.executable, *words],
            cwd=CHECKOUT,
            env={
                **os.environ,
                "DJANGO_SETTINGS_MODULE": "config.settings.test",
                "DATABASE_URL": self.owner.url(),
                "MEDIA_ROOT": str(self.folder / "media"),
                "HISTORY_DIGEST_DIR": str(self.folder / "digests"),
                "POSTGRESQL_PROGRAMS": str(self.programs),
            },
            capture_output=True,
            text=True,
            timeout=COMMAND_S,
            check=False,
        )
        assert done.returncode == expect, done.stdout + done.stderr
        return done.stdout

    def rows(self) -> dict[str, int]:
        """How many rows each table has, asked without the service."""
        counts = {}
        with psycopg.connect(self.owner.url()) as connection:
            for (table,) in connection.execute("SELECT tablename FROM pg_tables WHERE schemaname = 'public'"):
                ((count,),) = connection.execute(COUNT.format(sql.Identifier(table))).fetchall()
                counts[str(table)] = int(count)
        return counts


@contextmanager
def writing(address: str) -> Iterator[list[int]]:
    """Somebody who hands in walk-arounds and somebody who asks, until the block ends; how often, in all."""
    stage, over, written = Stage(address, PASSWORD, lambda _: None), Event(), [0]

    def write() -> None:
        while not over.is_set():
            walk = stage.whole_walk("iris", tractor="NL-12")
            stage.hand_in("iris", walk)
            stage.ask("cal", UNITS)
            written[0] += 2

    writer = Thread(target=write)
    writer.start()
    try:
        while not written[0] and writer.is_alive():
            time.sleep(0.05)
        yield written
    finally:
        over.set()
        writer.join()


def answered(address: str) -> tuple[str, list[tuple[str, str]]]:
    """What dispatch is answered, without what the time of clearance request changes."""
    asked: Answer = Stage(address, PASSWORD, lambda _: None).ask("cal", UNITS)
    return asked["answer"], sorted((reason["code"], reason.get("unit") or "") for reason in asked["reasons"])


def test_backed_up_while_people_write__restored_on_another_host(lived_committed: LivedIn, tmp_path: Path) -> None:
    assert lived_committed.web is not None
    old = Host(lived_committed.web.with_user("reefer_owner"), tmp_path / "old-host", find(runner()))
    old.folder.mkdir()
    (old.folder / "media").symlink_to(lived_committed.folder / "media")  # but no digest that another test wrote
    backup = tmp_path / "backup"
    with serving(lived_committed.web, old.folder) as running:
        before = answered(running.url)
        with writing(running.url) as written:
            at_first = written[0]
            said = old.command("manage.py", "back_up", str(backup))
            assert written[0] > at_first, "nobody wrote meanwhile"
        old.command("manage.py", "write_history_digest")
    manifest = read_backup(backup)
    assert str(backup) in said
    assert old.rows()["defects_report"] > manifest.rows["defects_report"]

    with LocalPostgres(throwaway(durable=False)) as cluster:
        new = Host(cluster.owner, tmp_path / "new-host", find(runner()))
        new.folder.mkdir()
        (new.folder / "digests").symlink_to(old.folder / "digests")
        said = new.command("manage.py", "restore", str(backup), "--by", "the drill")
        assert "rows, files and histories are as they were backed up" in said
        new.command("-m", "config.prepare", f"--web-role={WEB}", f"--purge-role={PURGE}", "--quiet")

        assert new.rows() == {**manifest.rows, "fleet_restore": manifest.rows["fleet_restore"] + 1}
        store = Folder(new.folder / "media" / "files")
        copied = [file.sha256 for file in listed_files(backup) if file.kept == COPIED]
        assert copied
        assert [sha256_of(store.path_of(sha256)) for sha256 in copied] == copied
        verified = new.command("manage.py", "verify_history")
        assert "restored" in verified
        assert "lines of digests tell of entries that a restore left behind" in verified
        assert "\n0 lines" not in verified
        assert "no fault found" in verified
        with serving(cluster.web, new.folder) as running:
            assert answered(running.url) == before
