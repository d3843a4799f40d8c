"""A local database started by a process of its own, which a test may kill, and what of it still lives."""

import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

import psycopg
import pytest

from config.local.places import CHECKOUT, MEMORY, in_memory
from config.local.postgres import PORT, SUPERUSER
from tests.support.needs import need

WAIT_S = 20.0
STARTING = """
import json, os, pwd, sys
from pathlib import Path
from config.local import places
from config.local.binaries import find
from config.local.errors import LocalServiceError
from config.local.postgres import LocalPostgres, Wish

folder, programs, ordinary = Path(sys.argv[1]), sys.argv[2], "ordinary" in sys.argv
try:
    programs = Path(programs) if programs else find(places.runner())
    if ordinary and os.geteuid() == 0:
        user = pwd.getpwnam(places.SERVER_USER)
        os.setgroups([]), os.setgid(user.pw_gid), os.setuid(user.pw_uid)
    with LocalPostgres(Wish(folder, throwaway="throwaway" in sys.argv, programs=programs)) as database:
        print(json.dumps({"socket": str(database.socket), "server": database.server.pid}), flush=True)
        sys.stdin.read()
except LocalServiceError as why:
    print(json.dumps({"error": str(why)}), flush=True)
"""


class Starter:
    """A process that started a local database, or could not: `error` says why."""

    def __init__(self, folder: Path, *how: str, programs: str = "", variables: Mapping[str, str] | None = None) -> None:
        self.process = subprocess.Popen(
            [sys.executable, "-c", STARTING, str(folder), programs, *how],
            cwd=CHECKOUT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env={**os.environ, **(variables or {})},
            start_new_session=True,
        )
        assert self.process.stdout is not None
        said = json.loads(self.process.stdout.readline())
        self.error: str = said.get("error", "")
        self.socket: str = said.get("socket", "")
        self.server: int = said.get("server", 0)
        if self.error:
            self.end()

    def connect(self) -> "psycopg.Connection[tuple[object, ...]]":
        """Connect as the superuser, every statement committed by itself."""
        assert self.error == ""
        address = f"postgresql://{SUPERUSER}@/postgres?host={self.socket}&port={PORT}"
        return psycopg.connect(address, autocommit=True, connect_timeout=2)

    def end(self) -> int:
        """Let it stop in order, and return its exit status."""
        self.process.communicate(timeout=WAIT_S)
        return self.process.returncode

    def kill(self) -> None:
        """Kill it as it stands."""
        self.process.kill()
        self.process.communicate(timeout=WAIT_S)


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """Yield a folder that any user may enter; pytest's own are closed to others."""
    with folder_for_anyone() as folder:
        yield folder


@contextmanager
def folder_for_anyone() -> Iterator[Path]:
    """Make a folder that any user may enter, in memory where there is room, and remove it in the end."""
    parent = MEMORY if in_memory() else "/var/tmp"  # noqa: S108 - made by mkdtemp, and opened on purpose
    folder = Path(tempfile.mkdtemp(dir=parent, prefix="reefer-test-"))
    folder.chmod(0o777)
    yield folder
    for process in processes_in(folder):  # only a failed test leaves any
        os.kill(process, signal.SIGQUIT)
    shutil.rmtree(folder)


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
