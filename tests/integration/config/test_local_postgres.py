"""The database of the demo and the suite: one cluster, kept between starts, which leaves nothing running."""

import os
import shutil
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import psycopg
import pytest

from config.database_url import parse
from config.local import places
from config.local.postgres import LocalPostgres, Wish
from tests.support.local_postgres import Starter, folder_for_anyone, wait_until_none_in
from tests.support.needs import need

pytestmark = pytest.mark.embedded


@pytest.fixture
def folder(open_folder: Path) -> Path:
    return open_folder / "place"


@pytest.fixture(scope="module")
def first_place() -> Iterator[Path]:
    """A cluster that was started once and ended: making one takes longer than all that a test does with it."""
    with folder_for_anyone() as folder:
        Starter(folder / "place").end()
        yield folder / "place"


@pytest.fixture
def used_folder(first_place: Path, folder: Path) -> Path:
    """A copy of it, owners and all."""
    subprocess.run(["cp", "--archive", str(first_place), str(folder)], check=True)
    return folder


def _count(starter: Starter) -> int:
    """Write one more row into the cluster, and return how many there are."""
    with starter.connect() as connection:
        connection.execute("CREATE TABLE IF NOT EXISTS turns (number int)")
        connection.execute("INSERT INTO turns VALUES (1)")
        row = connection.execute("SELECT count(*) FROM turns").fetchone()
    assert row is not None
    return int(str(row[0]))


def test_cold_and_warm_start__utf8_on_a_private_socket_and_the_rows_stay(
    folder: Path,
) -> None:
    first = Starter(folder)
    with first.connect() as connection:
        shown = connection.execute(
            "SELECT current_setting('listen_addresses'), current_setting('server_encoding'), "
            "current_setting('TimeZone'), current_setting('fsync')"
        ).fetchone()
    socket = Path(first.socket)
    assert shown == ("", "UTF8", "UTC", "on")
    assert (socket.stat().st_mode & 0o777, (folder / "cluster").stat().st_mode & 0o777) == (0o700, 0o700)
    assert _count(first) == 1
    assert first.end() == 0
    wait_until_none_in(folder)
    assert not socket.exists()

    second = Starter(folder)
    assert _count(second) == 2
    second.end()


def test_second_start_over_the_same_folder__refused_and_the_first_goes_on(used_folder: Path) -> None:
    first = Starter(used_folder)
    assert "already running" in Starter(used_folder).error
    assert _count(first) == 1
    first.end()


@pytest.mark.crash
def test_starter_killed__the_server_ends_and_the_next_start_has_every_row(used_folder: Path) -> None:
    first = Starter(used_folder)
    assert _count(first) == 1
    first.kill()
    second = Starter(used_folder)
    assert _count(second) == 2
    second.end()
    wait_until_none_in(used_folder)


@pytest.mark.crash
def test_pid_file_with_the_number_of_another_process__does_not_stop_the_next(used_folder: Path) -> None:
    first = Starter(used_folder)
    assert _count(first) == 1
    os.kill(first.server, signal.SIGKILL)
    first.kill()
    wait_until_none_in(used_folder)
    stale = used_folder / "cluster" / "data" / "postmaster.pid"
    stale.write_text("\n".join([str(os.getpid()), *stale.read_text().splitlines()[1:]]) + "\n")
    second = Starter(used_folder)
    assert _count(second) == 2
    second.end()


@pytest.mark.crash
def test_throwaway_of_a_killed_starter__removed_and_that_of_a_living_one_not(open_folder: Path) -> None:
    gone = subprocess.Popen(["true"])
    gone.wait()
    dead, alive, other = (
        open_folder / name for name in (f"{gone.pid}-0123abcd", f"{os.getpid()}-0123abcd", "someone-elses")
    )
    Starter(dead, "throwaway").kill()
    wait_until_none_in(dead)
    alive.mkdir()
    other.mkdir()

    Starter(open_folder / f"{os.getpid()}-4567cdef", "throwaway").end()

    assert sorted(path.name for path in open_folder.iterdir()) == sorted([alive.name, other.name])
    assert not places.socket_of(dead).exists()


def test_data_half_made_by_a_killed_start__made_anew(used_folder: Path) -> None:
    (used_folder / "cluster" / "data").rename(used_folder / "cluster" / "data.new")
    starter = Starter(used_folder)
    assert _count(starter) == 1
    starter.end()


def test_server_that_cannot_start__says_why_and_leaves_nothing_running(used_folder: Path) -> None:
    (used_folder / "cluster" / "data" / "PG_VERSION").write_text("12\n")
    assert "12" in Starter(used_folder).error
    wait_until_none_in(used_folder)


def test_no_programs__names_the_place(folder: Path) -> None:
    assert "initdb" in Starter(folder, programs="/nonexistent").error


def test_file_where_the_folder_should_be__is_named(folder: Path) -> None:
    folder.touch()
    assert str(folder) in Starter(folder / "below").error


def test_socket_s_folder_that_is_a_stranger_s__refused(folder: Path) -> None:
    socket = places.socket_of(folder)
    socket.symlink_to("/var/tmp")  # noqa: S108 - somebody else's
    try:
        assert "belongs to somebody else" in Starter(folder).error
    finally:
        socket.unlink(missing_ok=True)


def test_started_outside_the_main_thread__is_refused(folder: Path) -> None:
    raised: list[BaseException] = []

    def start() -> None:
        try:
            LocalPostgres(Wish(folder))
        except RuntimeError as why:
            raised.append(why)

    thread = threading.Thread(target=start)
    thread.start()
    thread.join()
    assert "main thread" in str(raised[0])


def test_root__runs_the_server_as_an_unprivileged_user_even_with_a_closed_umask(folder: Path) -> None:
    need(os.geteuid() == 0, "to be root")
    before = os.umask(0o077)
    try:
        starter = Starter(folder)
    finally:
        os.umask(before)
    lines = dict(line.split(":\t", 1) for line in Path(f"/proc/{starter.server}/status").read_text().splitlines())
    assert lines["Uid"].split() == [str(places.runner().uid)] * 4
    assert lines["Groups"].strip() == ""
    assert {path.stat().st_uid for path in (folder, folder / "server.lock", folder / "postgres.log")} == {0}
    starter.end()


def test_ordinary_user__owns_the_server_and_its_files(folder: Path) -> None:
    starter = Starter(folder, "ordinary")
    assert _count(starter) == 1
    owners = {path.stat().st_uid for path in (folder, folder / "cluster" / "data", folder / "postgres.log")}
    assert owners == {Path(f"/proc/{starter.server}").stat().st_uid}
    assert 0 not in owners
    starter.end()


def test_hostile_variables_and_a_long_path__reach_neither_server_nor_address(open_folder: Path) -> None:
    hostile = {"LC_ALL": "tr_TR.ISO-8859-9", "TZ": "Asia/Tokyo", "PGPORT": "1", "PGHOST": "nowhere", "PGDATA": "/x"}
    starter = Starter(open_folder / ("a" * 90) / ("b" * 90), variables=hostile)
    with starter.connect() as connection:
        row = connection.execute("SELECT datcollate, current_setting('port') FROM pg_database LIMIT 1").fetchone()
    assert row == ("C.UTF-8", "5432")
    starter.end()


def test_roles__web_and_purge_own_nothing_and_owner_is_no_superuser(used_folder: Path) -> None:
    with LocalPostgres(Wish(used_folder, durable=False)) as database:
        with psycopg.connect(database.owner.url()) as connection:
            rows = connection.execute(
                "SELECT rolname, rolsuper, rolcreatedb, rolcreaterole, rolbypassrls FROM pg_roles "
                "WHERE rolname LIKE 'reefer%' ORDER BY 1"
            ).fetchall()
        with psycopg.connect(database.web.url()) as web, pytest.raises(psycopg.errors.InsufficientPrivilege):
            web.execute("CREATE TABLE mine (number int)")
    assert rows == [
        ("reefer_owner", False, True, False, False),
        ("reefer_purge", False, False, False, False),
        ("reefer_web", False, False, False, False),
    ]


@pytest.fixture
def closed_checkout(open_folder: Path) -> Iterator[Path]:
    """A copy of what starts the database, below a folder that only its owner may enter."""
    closed = open_folder / "closed"
    closed.mkdir(mode=0o700)
    checkout = closed / "checkout"
    for name in ("config", "fixtures"):
        shutil.copytree(places.CHECKOUT / name, checkout / name, ignore=shutil.ignore_patterns("__pycache__"))
    yield checkout
    subprocess.run(
        [sys.executable, "-m", "config.local.demo", "--reset"], cwd=checkout, check=True, stdout=subprocess.DEVNULL
    )


SCRIPT = """
import os, psycopg, sys
with psycopg.connect(os.environ["DATABASE_URL"], options="-c lock_timeout=5s") as c:
    c.execute("CREATE TABLE IF NOT EXISTS turns (number int)")
    c.execute("INSERT INTO turns VALUES (1)")
    print(c.execute("SELECT count(*) FROM turns").fetchone()[0])
sys.exit(5)
"""


def _run(checkout: Path, script: str, *how: str) -> "subprocess.CompletedProcess[str]":
    return subprocess.run(
        [sys.executable, "-m", "config.local.postgres", "run", *how, "--", sys.executable, "-c", script],
        cwd=checkout,
        env={name: value for name, value in os.environ.items() if name != "DATABASE_URL"},
        capture_output=True,
        text=True,
        check=False,
    )


def test_command_beside_a_stopped_database__finds_its_rows_the_second_time(
    closed_checkout: Path,
) -> None:
    first, second = _run(closed_checkout, SCRIPT), _run(closed_checkout, SCRIPT)
    assert (first.returncode, first.stdout, first.stderr) == (5, "1\n", "")
    assert (second.returncode, second.stdout, second.stderr) == (5, "2\n", "")


def test_command_beside_a_throwaway__is_given_the_address_and_nothing_is_left() -> None:
    done = _run(places.CHECKOUT, "import os, sys; print(os.environ['DATABASE_URL']); sys.exit(7)", "--throwaway")
    database = parse(done.stdout.strip())
    assert (done.returncode, database.user) == (7, "reefer_owner")
    assert not Path(database.host).exists()
