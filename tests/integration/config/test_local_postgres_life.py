"""The embedded PostgreSQL from its first start to its end, in good order."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import psycopg
import pytest

from config.database_url import parse
from config.local import leftovers, places
from config.local.errors import LocalPostgresError
from config.local.postgres import LocalPostgres, Wish
from tests.support.supervisor import Yard, processes_in

pytestmark = [pytest.mark.embedded, pytest.mark.long]


@pytest.fixture
def folder(open_folder: Path) -> Path:
    return open_folder / "place"


def test_cold_start__makes_a_utf8_cluster_that_only_a_socket_reaches(yard: Yard, folder: Path) -> None:
    supervisor = yard.start(folder)

    with supervisor.connect() as connection:
        names = ["listen_addresses", "server_encoding", "TimeZone", "fsync"]
        shown = connection.execute(
            "SELECT name, setting FROM pg_settings WHERE name = ANY(%s) ORDER BY name", [names]
        ).fetchall()
        locale = connection.execute(
            "SELECT datcollate, datctype FROM pg_database WHERE datname = 'postgres'"
        ).fetchone()

    assert sorted(shown) == [
        ("TimeZone", "UTC"),
        ("fsync", "on"),
        ("listen_addresses", ""),
        ("server_encoding", "UTF8"),
    ]
    assert locale == ("C.UTF-8", "C.UTF-8")


def test_socket__stands_in_a_short_folder_closed_to_others(yard: Yard, folder: Path) -> None:
    supervisor = yard.start(folder)

    where = Path(supervisor.said["socket"])

    assert len(os.fsencode(where)) < 60
    assert where.stat().st_mode & 0o777 == 0o700
    assert where.stat().st_uid == (folder / "cluster").stat().st_uid


def test_end__leaves_data_and_neither_process_nor_socket(yard: Yard, folder: Path) -> None:
    supervisor = yard.start(folder)

    status = supervisor.end()

    assert status == 0
    assert processes_in(folder) == set()
    assert not Path(supervisor.said["socket"]).exists()
    assert (folder / "cluster" / "data" / "PG_VERSION").read_text().strip().isdigit()


@pytest.mark.parametrize("number", [signal.SIGTERM, signal.SIGINT])
def test_signal__ends_in_order_as_closing_its_input_does(yard: Yard, folder: Path, number: signal.Signals) -> None:
    supervisor = yard.start(folder)
    supervisor.process.send_signal(number)

    assert supervisor.process.wait(20) == 0
    assert processes_in(folder) == set()
    assert "database system is shut down" in (folder / "postgres.log").read_text()


def test_warm_start__keeps_rows_and_does_not_make_the_cluster_anew(yard: Yard, folder: Path) -> None:
    first = yard.start(folder)
    with first.connect() as connection:
        connection.execute("CREATE TABLE kept AS SELECT 7 AS number")
        made = connection.execute("SELECT system_identifier FROM pg_control_system()").fetchone()
    first.end()

    second = yard.start(folder)

    with second.connect() as connection:
        assert connection.execute("SELECT number FROM kept").fetchall() == [(7,)]
        assert connection.execute("SELECT system_identifier FROM pg_control_system()").fetchone() == made


def test_second_supervisor_over_the_same_folder__is_refused_and_the_first_goes_on(yard: Yard, folder: Path) -> None:
    first = yard.start(folder)

    second = yard.start(folder)

    assert list(second.said) == ["error"]
    assert "already running" in second.said["error"]
    assert second.end() == 1
    with first.connect() as connection:
        assert connection.execute("SELECT 1").fetchone() == (1,)


def test_throwaway__takes_its_files_along(yard: Yard, folder: Path) -> None:
    supervisor = yard.start(folder, "--fast", "--throwaway")
    assert folder.is_dir()

    supervisor.end()

    assert not folder.exists()


def test_interrupt_at_the_terminal__does_not_reach_the_server(yard: Yard, folder: Path) -> None:
    supervisor = yard.start(folder)

    groups = {os.getpgid(process) for process in processes_in(folder)}

    assert os.getpgid(supervisor.process.pid) not in groups
    assert os.getpgid(os.getpid()) not in groups


def test_roles__web_and_purge_own_nothing_and_owner_is_no_superuser(folder: Path) -> None:
    with LocalPostgres(Wish(folder)) as database, psycopg.connect(database.owner.url()) as connection:
        rows = connection.execute(
            "SELECT rolname, rolsuper, rolcreatedb, rolcreaterole, rolbypassrls FROM pg_roles "
            "WHERE rolname LIKE 'reefer%' ORDER BY 1"
        ).fetchall()
        owner = connection.execute(
            "SELECT pg_get_userbyid(datdba) FROM pg_database WHERE datname = current_database()"
        ).fetchone()

    assert rows == [
        ("reefer_owner", False, True, False, False),
        ("reefer_purge", False, False, False, False),
        ("reefer_web", False, False, False, False),
    ]
    assert owner == ("reefer_owner",)


def test_web_role__may_not_create_in_the_database(folder: Path) -> None:
    with (
        LocalPostgres(Wish(folder)) as database,
        psycopg.connect(database.web.url()) as connection,
        pytest.raises(psycopg.errors.InsufficientPrivilege),
    ):
        connection.execute("CREATE TABLE mine (number int)")


def test_run__sets_the_address_returns_the_status_and_leaves_nothing() -> None:
    script = "import os, sys; print(os.environ['DATABASE_URL']); sys.exit(5)"

    done = subprocess.run(
        [sys.executable, "-m", "config.local.postgres", "run", "--throwaway", "--", sys.executable, "-c", script],
        cwd=places.CHECKOUT,
        capture_output=True,
        text=True,
        check=False,
    )

    database = parse(done.stdout.strip())
    assert done.returncode == 5
    assert database.user == "reefer_owner"
    assert not Path(database.host).exists()


def test_leftovers_of_a_killed_run__are_removed_and_those_of_a_living_one_are_not(
    yard: Yard, open_folder: Path
) -> None:
    gone = subprocess.Popen(["true"])
    gone.wait()
    dead, alive, other = (
        open_folder / f"{gone.pid}-0123abcd",
        open_folder / f"{os.getpid()}-0123abcd",
        open_folder / "someone-elses",
    )
    socket_folder = open_folder / "socket"
    for made in (dead, alive, other, socket_folder):
        made.mkdir()
    (dead / "socket").write_text(str(socket_folder))

    leftovers.clear_throwaways(open_folder)

    assert sorted(path.name for path in open_folder.iterdir()) == sorted([alive.name, other.name])


def test_leftovers__stay_while_a_process_of_the_server_lives(yard: Yard, open_folder: Path) -> None:
    gone = subprocess.Popen(["true"])
    gone.wait()
    folder = open_folder / f"{gone.pid}-0123abcd"
    yard.start(folder)

    leftovers.clear_throwaways(open_folder)

    assert (folder / "cluster" / "data" / "PG_VERSION").exists()


def test_database_of_another_version__says_so_at_once(yard: Yard, folder: Path) -> None:
    yard.start(folder).end()
    (folder / "cluster" / "data" / "PG_VERSION").write_text("12\n")

    supervisor = yard.start(folder)

    assert "version 12" in supervisor.said["error"]
    assert supervisor.end() == 1
    assert processes_in(folder) == set()


def test_no_programs__names_what_is_missing(yard: Yard, folder: Path, open_folder: Path) -> None:
    with pytest.raises(LocalPostgresError, match=r"No such file or directory: .*nothing/initdb"):
        LocalPostgres(Wish(folder, programs=open_folder / "nothing"))

    assert not (folder / "cluster" / "data").exists()


def test_started_outside_the_main_thread__is_refused() -> None:
    script = (
        "import threading\n"
        "from pathlib import Path\n"
        "from config.local import child\n"
        "from config.local.places import Runner\n"
        "import sys\n"
        "def work():\n"
        "    try:\n"
        "        child.start(['true'], run_as=Runner(None, None), folder=Path('/'), output=sys.stdout.buffer)\n"
        "    except RuntimeError as why:\n"
        "        print(why)\n"
        "thread = threading.Thread(target=work); thread.start(); thread.join()\n"
    )

    done = subprocess.run(
        [sys.executable, "-c", script], cwd=places.CHECKOUT, capture_output=True, text=True, check=True
    )

    assert "main thread" in done.stdout
