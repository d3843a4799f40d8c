"""Processes of the embedded PostgreSQL killed without warning: nothing leaks and no accepted row is lost."""

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import psycopg
import pytest

from config.local import child, places, watchdog
from config.local.binaries import find
from tests.support.supervisor import Supervisor, Yard, processes_in, wait_until_none_in

pytestmark = [pytest.mark.embedded, pytest.mark.crash, pytest.mark.long]


@pytest.fixture
def folder(open_folder: Path) -> Path:
    return open_folder / "place"


class Writer:
    """Writes numbers one by one in transactions of their own and remembers which were acknowledged."""

    def __init__(self, supervisor: Supervisor) -> None:
        self.supervisor = supervisor
        self.accepted: list[int] = []
        self.refused = 0
        self.stopping = threading.Event()

    def write(self) -> None:
        number = 0
        while not self.stopping.is_set():
            try:
                with self.supervisor.connect() as connection:
                    while not self.stopping.is_set():
                        number += 1
                        connection.execute("INSERT INTO written VALUES (%s)", [number])
                        self.accepted.append(number)
            except psycopg.OperationalError:
                self.refused += 1
                time.sleep(0.02)

    def wait_for(self, more: int) -> None:
        until = time.monotonic() + 20
        goal = len(self.accepted) + more
        while len(self.accepted) < goal:
            assert time.monotonic() < until, "nothing is accepted any more"
            time.sleep(0.01)


@contextmanager
def writing(supervisor: Supervisor) -> Iterator[Writer]:
    with supervisor.connect() as connection:
        connection.execute("CREATE TABLE written (number int PRIMARY KEY)")
    writer = Writer(supervisor)
    thread = threading.Thread(target=writer.write)
    thread.start()
    try:
        yield writer
    finally:
        writer.stopping.set()
        thread.join()


def _lost(supervisor: Supervisor, writer: Writer) -> set[int]:
    with supervisor.connect_again() as connection:
        kept = {int(str(row[0])) for row in connection.execute("SELECT number FROM written")}
    return set(writer.accepted) - kept


def test_server_killed_under_load__starts_again_and_keeps_every_accepted_row(yard: Yard, folder: Path) -> None:
    supervisor = yard.start(folder)
    with writing(supervisor) as writer:
        for _ in range(3):
            writer.wait_for(50)
            os.kill(supervisor.server(), signal.SIGKILL)
        writer.wait_for(50)

    assert _lost(supervisor, writer) == set()
    assert writer.refused >= 3


def test_supervisor_killed_under_load__server_ends_in_order_and_a_new_start_has_every_row(
    yard: Yard, folder: Path
) -> None:
    first = yard.start(folder)
    with writing(first) as writer:
        writer.wait_for(50)
        first.process.kill()
        wait_until_none_in(folder)
    assert "database system is shut down" in (folder / "postgres.log").read_text()

    second = yard.start(folder)

    assert _lost(second, writer) == set()
    assert not Path(first.said["socket"]).exists()


def test_supervisor_and_server_killed_at_once__a_new_start_has_every_row(yard: Yard, folder: Path) -> None:
    first = yard.start(folder)
    server = first.server()
    with writing(first) as writer:
        writer.wait_for(50)
        first.process.kill()
        os.kill(server, signal.SIGKILL)
    assert (folder / "cluster" / "data" / "postmaster.pid").exists()

    second = yard.start(folder)

    assert _lost(second, writer) == set()
    wait_until_only(second.server(), folder)


def wait_until_only(server: int, folder: Path) -> None:
    """Wait until the new server and its children are all that runs below the folder; fail when more stays."""
    until = time.monotonic() + 20
    while left := processes_in(folder) - {server} - set(_children(server)):
        assert time.monotonic() < until, f"of an earlier server: {left}"
        time.sleep(0.05)


def test_whoever_wanted_it_killed__supervisor_and_server_end_and_nothing_is_left(open_folder: Path) -> None:
    folder = open_folder / "place"
    script = (
        "import sys, time\n"
        "from pathlib import Path\n"
        "from config.local.postgres import LocalPostgres, Wish\n"
        "database = LocalPostgres(Wish(Path(sys.argv[1])))\n"
        "print(database.supervisor.pid, database.superuser.host, flush=True)\n"
        "time.sleep(60)\n"
    )
    parent = subprocess.Popen([sys.executable, "-c", script, folder], cwd=places.CHECKOUT, stdout=subprocess.PIPE)
    assert parent.stdout is not None
    supervisor, socket_folder = parent.stdout.readline().decode().split()
    assert processes_in(folder) != set()

    parent.kill()
    parent.communicate()

    wait_until_none_in(folder)
    until = time.monotonic() + 10
    while Path(socket_folder).exists() and time.monotonic() < until:
        time.sleep(0.02)
    assert not Path(socket_folder).exists()
    while _runs(int(supervisor)):
        assert time.monotonic() < until, "the supervisor still runs"
        time.sleep(0.02)


def _runs(process: int) -> bool:
    try:
        return Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except FileNotFoundError:
        return False


@pytest.fixture
def stranger() -> Iterator[int]:
    """The process id of a living process of the server's own user that is no server."""
    run_as = places.runner()
    process = subprocess.Popen(["sleep", "60"], cwd="/", user=run_as.uid, group=run_as.gid)
    yield process.pid
    process.kill()
    process.wait()


@pytest.fixture
def zombie() -> Iterator[int]:
    """The process id of a dead process of the server's user that nobody has reaped."""
    run_as = places.runner()
    process = subprocess.Popen(["true"], cwd="/", user=run_as.uid, group=run_as.gid)
    os.waitid(os.P_PID, process.pid, os.WEXITED | os.WNOWAIT)
    yield process.pid
    process.wait()


def _make_stale(yard: Yard, folder: Path, process: int) -> None:
    """Leave what a killed server leaves, naming the process instead."""
    supervisor = yard.start(folder)
    with supervisor.connect() as connection:
        connection.execute("CREATE TABLE kept AS SELECT 7 AS number")
    file = folder / "cluster" / "data" / "postmaster.pid"
    left = file.read_text()
    owner = file.stat()
    supervisor.end()
    file.write_text("\n".join([str(process), *left.splitlines()[1:]]) + "\n")
    os.chown(file, owner.st_uid, owner.st_gid)


@pytest.mark.parametrize("whose", ["stranger", "zombie"])
def test_stale_pid_file_of_a_living_number__does_not_stop_a_start(
    yard: Yard, folder: Path, whose: str, request: pytest.FixtureRequest
) -> None:
    process: int = request.getfixturevalue(whose)
    _make_stale(yard, folder, process)

    supervisor = yard.start(folder)

    with supervisor.connect() as connection:
        assert connection.execute("SELECT number FROM kept").fetchall() == [(7,)]


@pytest.mark.parametrize("whose", ["stranger", "zombie"])
def test_stale_pid_file_of_a_living_number__stops_a_plain_start(
    yard: Yard, folder: Path, whose: str, request: pytest.FixtureRequest, tmp_path: Path
) -> None:
    """The control to the test above: the trap is real, the supervisor is what avoids it."""
    process: int = request.getfixturevalue(whose)
    _make_stale(yard, folder, process)
    run_as = places.runner()
    output = tmp_path / "output"

    with output.open("wb") as file:
        server = child.start(
            [str(find(run_as) / "postgres"), "-D", str(folder / "cluster" / "data"), "-c", "listen_addresses="],
            run_as=run_as,
            folder=folder / "cluster",
            output=file,
        )
        assert server.wait(20) == 1

    assert 'lock file "postmaster.pid" already exists' in output.read_text()


def test_pid_file_of_a_dead_number__does_not_stop_a_start(yard: Yard, folder: Path) -> None:
    gone = subprocess.Popen(["true"])
    gone.wait()
    _make_stale(yard, folder, gone.pid)

    supervisor = yard.start(folder)

    with supervisor.connect() as connection:
        assert connection.execute("SELECT number FROM kept").fetchall() == [(7,)]


def test_data_half_made_by_a_killed_start__is_made_anew(yard: Yard, folder: Path) -> None:
    supervisor = yard.start(folder)
    supervisor.end()
    (folder / "cluster" / "data").rename(folder / "cluster" / "data.new")
    (folder / "cluster" / "data.new" / "PG_VERSION").unlink()

    again = yard.start(folder)

    with again.connect() as connection:
        assert connection.execute("SELECT 1").fetchone() == (1,)
    assert not (folder / "cluster" / "data.new").exists()


def test_supervisor_killed_where_the_kernel_says_nothing__watchdog_ends_the_server(yard: Yard, folder: Path) -> None:
    """Systems without a parent-death signal: with this option none is asked for, so that only the pipe is left."""
    supervisor = yard.start(folder, "--watchdog")
    server = supervisor.server()
    until = time.monotonic() + 20
    while len(set(_children(supervisor.process.pid)) - {server}) != 1:
        assert time.monotonic() < until, "no watchdog was started"
        time.sleep(0.02)

    supervisor.process.kill()

    wait_until_none_in(folder)
    yard.start(folder, "--watchdog")
    assert not Path(supervisor.said["socket"]).exists()


def test_watchdog__interrupts_when_its_pipe_closes_and_not_when_dismissed() -> None:
    for dismissed, status in [(False, -signal.SIGINT), (True, None)]:
        watched = subprocess.Popen(["sleep", "60"])
        guard = watchdog.start(watched.pid)
        if dismissed:
            watchdog.dismiss(guard)
        else:
            guard.communicate(b"")
        try:
            assert guard.returncode == 0
            time.sleep(0.05)
            assert watched.poll() == status
        finally:
            watched.kill()
            watched.wait()


def _children(process: int) -> list[int]:
    return [int(word) for word in Path(f"/proc/{process}/task/{process}/children").read_text().split()]
