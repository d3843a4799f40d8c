"""A supervisor of the local database under a test's hands: started anywhere, as anyone, and watched from outside."""

import json
import os
import pwd
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import psycopg
import pytest

from config.local.binaries import find
from config.local.cluster import PORT, SUPERUSER
from config.local.places import CHECKOUT, MEMORY, SERVER_USER, in_memory, runner
from tests.support.needs import need, need_program

WAIT_S = 20.0


@dataclass
class Supervisor:
    """One started supervisor; `said` is the line it wrote: the socket's folder, or an error."""

    process: "subprocess.Popen[bytes]"
    said: dict[str, str] = field(default_factory=dict)

    def url(self) -> str:
        """Return the superuser's address."""
        return f"postgresql://{SUPERUSER}@/postgres?host={self.said['socket']}&port={PORT}"

    def connect(self) -> "psycopg.Connection[tuple[object, ...]]":
        """Connect as the superuser, every statement committed by itself."""
        return psycopg.connect(self.url(), autocommit=True, connect_timeout=2)

    def connect_again(self) -> "psycopg.Connection[tuple[object, ...]]":
        """Connect as soon as that is possible."""
        until = time.monotonic() + WAIT_S
        while True:
            try:
                return self.connect()
            except psycopg.OperationalError:
                if time.monotonic() > until:
                    raise
                time.sleep(0.02)

    def server(self) -> int:
        """Return the server's process id, as the server itself knows it."""
        with self.connect() as connection:
            row = connection.execute("SELECT pg_read_file('postmaster.pid')").fetchone()
        assert row is not None
        return int(str(row[0]).splitlines()[0])

    def end(self) -> int:
        """Close its standard input, as whoever started it does, and return its exit status."""
        self.process.communicate(timeout=WAIT_S)
        return self.process.returncode


class Yard:
    """Starts supervisors and ends whatever of them is left after the test."""

    def __init__(self) -> None:
        self.started: list[Supervisor] = []

    def start(
        self,
        folder: Path,
        *options: str,
        code: Path = CHECKOUT,
        python: str = sys.executable,
        user: str | None = None,
        variables: Mapping[str, str] | None = None,
    ) -> Supervisor:
        """Start one over the folder and wait for what it says."""
        entry = pwd.getpwnam(user) if user else None
        process = subprocess.Popen(
            [python, "-m", "config.local.supervisor", f"--folder={folder}", f"--parent={os.getpid()}", *options],
            cwd=code,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env={**os.environ, **(variables or {})},
            start_new_session=True,
            user=entry.pw_uid if entry else None,
            group=entry.pw_gid if entry else None,
            extra_groups=[] if entry else None,
        )
        supervisor = Supervisor(process)
        self.started.append(supervisor)
        assert process.stdout is not None
        line = process.stdout.readline()
        assert line, process.communicate(timeout=WAIT_S)[1].decode()
        supervisor.said = json.loads(line)
        return supervisor

    def close(self) -> None:
        """End all of them."""
        for supervisor in self.started:
            if supervisor.process.poll() is None:
                supervisor.end()
            for pipe in (supervisor.process.stdin, supervisor.process.stdout, supervisor.process.stderr):
                assert pipe is not None
                pipe.close()


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """Yield a folder that any user may enter, in memory where there is room; pytest's own are closed to others."""
    parent = MEMORY if in_memory() else "/var/tmp"  # noqa: S108 - made by mkdtemp, and opened on purpose
    folder = Path(tempfile.mkdtemp(dir=parent, prefix="reefer-test-"))
    folder.chmod(0o755)
    yield folder
    for process in processes_in(folder):  # only a failed test leaves any
        os.kill(process, signal.SIGQUIT)
    shutil.rmtree(folder)


@pytest.fixture
def yard(open_folder: Path) -> Iterator[Yard]:
    """Yield a place to start supervisors from; they end before the folder of their files goes."""
    made = Yard()
    yield made
    made.close()


@dataclass(frozen=True)
class OrdinaryUser:
    """Someone who is not root: a name when root plays them, a Python and programs that they can run."""

    name: str | None
    python: str
    options: tuple[str, ...]
    code: Path
    folder: Path


@pytest.fixture
def ordinary_user(open_folder: Path) -> OrdinaryUser:
    """Return the user running the suite, or for root the unprivileged one with a copy of what they need to read."""
    own = open_folder / "own"
    own.mkdir()
    if os.geteuid() != 0:
        return OrdinaryUser(None, sys.executable, (), CHECKOUT, own)
    code = open_folder / "code"
    shutil.copytree(CHECKOUT / "config", code / "config", ignore=shutil.ignore_patterns("__pycache__"))
    for path in [code, *code.rglob("*")]:
        path.chmod(0o755)
    entry = pwd.getpwnam(SERVER_USER)
    os.chown(own, entry.pw_uid, entry.pw_gid)
    python = next((path for path in ("/usr/bin/python3", sys.executable) if _runs(path, SERVER_USER)), None)
    need(python, f"a Python 3.11 that {SERVER_USER} can run")
    assert python is not None
    return OrdinaryUser(SERVER_USER, python, (f"--programs={find(runner())}",), code, own)


def _runs(python: str, user: str) -> bool:
    question = [
        need_program("runuser"),
        "-u",
        user,
        "--",
        python,
        "-c",
        "import sys; sys.exit(sys.version_info < (3, 11))",
    ]
    return subprocess.run(question, check=False, stderr=subprocess.DEVNULL).returncode == 0


def processes_in(folder: Path) -> set[int]:
    """Return the processes of a server whose files stand below the folder; zombies do not count."""
    need(sys.platform == "linux", "Linux's list of processes")
    found = set()
    for entry in Path("/proc").iterdir():
        if entry.name.isdigit():
            try:
                where = (entry / "cwd").readlink()
            except OSError:
                continue
            if where.is_relative_to(folder):
                found.add(int(entry.name))
    return found


def wait_until_none_in(folder: Path) -> None:
    """Wait until no process of a server is left below the folder; fail the test when one stays."""
    until = time.monotonic() + WAIT_S
    while left := processes_in(folder):
        if time.monotonic() > until:
            pytest.fail(f"still running: {sorted(left)}")
        time.sleep(0.05)
