"""The local database: one cluster, started and stopped, with its roles and a database; never for production.

`python -m config.local.postgres run -- <command>` runs a command with DATABASE_URL set to it: to the running
demo's, or else to the demo's files under a server started for the command alone.
"""

import argparse
import contextlib
import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryFile
from types import TracebackType
from typing import IO, Self

from config import env
from config.database_url import Database
from config.local import places
from config.local.binaries import find
from config.local.bound import bound_to_parent
from config.local.errors import LocalServiceError
from config.local.roles import DATABASE, OWNER, PURGE, WEB, prepare
from config.processes import lives

SUPERUSER = "postgres"
PORT = "5432"
"""Only part of the socket's name; said everywhere, so that no PGPORT of the caller comes between."""
OPTIONS = (
    "listen_addresses=",
    f"port={PORT}",
    "unix_socket_permissions=0700",
    "timezone=UTC",
    "log_timezone=UTC",
    "max_connections=100",
)
FAST = (
    *("fsync=off", "synchronous_commit=off", "full_page_writes=off", "wal_level=minimal", "max_wal_senders=0"),
    *("max_wal_size=128MB", "min_wal_size=32MB", "autovacuum=off"),
)
"""For tests that never pull the plug: a power cut may lose everything. Little is kept, since it may stand in memory.

Every setting is known to PostgreSQL 15. Nothing lives long enough to be vacuumed.
"""
CLEAN = {"PATH": "/usr/bin:/bin", "LC_ALL": "C.UTF-8", "TZ": "UTC"}
"""What PostgreSQL's programs get: nothing of the caller's locale, PG* variables or time zone."""
EARLIER_ENDS_S, ACCEPTS_S, STOPS_S = 30.0, 60.0, 20.0
THROWAWAY_NAME = re.compile(r"(\d+)-[0-9a-f]{8}")
"""As `places.throwaway` writes it: the process that wanted it, and something random."""


@dataclass(frozen=True)
class Wish:
    """Which cluster: its folder, whether it must survive a power cut, whether its files go at the end.

    `programs` names the folder of another PostgreSQL's programs instead of the wheel's.
    """

    folder: Path
    durable: bool = True
    throwaway: bool = False
    programs: Path | None = None

    @property
    def in_use(self) -> Path:
        """The lock of the process that started the cluster; no child inherits it."""
        return self.folder / "in-use.lock"

    @property
    def server_lock(self) -> Path:
        """Held by every process of the server and by nothing else."""
        return self.folder / "server.lock"


class LocalPostgres:
    """A running local database; a context manager that ends it. The kernel ends it when its starter is killed."""

    name = "the database"

    def __init__(self, wish: Wish) -> None:
        """Start it and wait until it accepts; raise LocalServiceError when it cannot."""
        self._bind = bound_to_parent(signal.SIGINT)
        self.wish, self.run_as = wish, places.runner()
        self.log = wish.folder / "postgres.log"
        self.cluster = wish.folder / "cluster"
        """The parent of the data, closed to everyone but the server's user; the folder around it is the starter's."""
        self.socket = places.socket_of(wish.folder)
        self.server: subprocess.Popen[bytes] | None = None
        try:
            places.make_folders(wish.folder, 0o700 if self.run_as.uid is None else 0o711)
            in_use = places.lock(wish.in_use)
        except OSError as why:
            raise LocalServiceError(f"cannot keep the local database in {wish.folder}: {why.strerror}") from why
        if in_use is None:
            message = f"the local database in {wish.folder} is already running; stop it first or use it"
            raise LocalServiceError(message)
        self.in_use = in_use
        self.superuser = Database("postgres", SUPERUSER, "", str(self.socket), PORT, {})
        self.owner = self.superuser.with_name(DATABASE).with_user(OWNER)
        self.web = self.superuser.with_name(DATABASE).with_user(WEB)
        self.purge = self.superuser.with_name(DATABASE).with_user(PURGE)
        try:
            self.programs = wish.programs or find(self.run_as)
            places.make_private(self.cluster, self.run_as)
            self._initialize()
            self._start()
            prepare(self.superuser)
        except OSError as why:
            self.stop()
            raise LocalServiceError(f"the local database in {wish.folder} cannot be started: {why}") from why
        except BaseException:
            self.stop()
            raise

    def _initialize(self) -> None:
        """Run initdb unless that is done; half-made data of an earlier failure is thrown away first."""
        data, unfinished = self.cluster / "data", self.cluster / "data.new"
        if data.is_dir():
            return
        shutil.rmtree(unfinished, ignore_errors=True)
        words = [f"--pgdata={unfinished}", f"--username={SUPERUSER}", "--encoding=UTF8", "--locale=C.UTF-8"]
        words += ["--auth=trust"]  # only the server's user and root reach the socket's folder
        words += [] if self.wish.durable else ["--no-sync"]
        with TemporaryFile() as output:
            code = self._run("initdb", words, output).wait()
            output.seek(0)
            said = output.read().decode(errors="replace").strip()
        if code != 0:
            shutil.rmtree(unfinished, ignore_errors=True)
            raise LocalServiceError(f"initdb could not make a database in {data}:\n{_tail(said)}")
        unfinished.rename(data)

    def _start(self) -> None:
        """Start the server once nothing of an earlier one lives, and wait until it accepts."""
        server_lock = places.lock(self.wish.server_lock, wait_s=EARLIER_ENDS_S)
        if server_lock is None:
            raise LocalServiceError(f"an earlier server in {self.wish.folder} does not end")
        try:
            # Nothing of a cluster lives without that lock, so whoever these files name is dead or a stranger.
            (self.cluster / "data" / "postmaster.pid").unlink(missing_ok=True)
            shutil.rmtree(self.socket, ignore_errors=True)
            places.make_private(self.socket, self.run_as)
            options = (*OPTIONS, f"unix_socket_directories={self.socket}", *(() if self.wish.durable else FAST))
            words = ["-D", str(self.cluster / "data"), *(word for option in options for word in ("-c", option))]
            with self.log.open("wb") as log:
                self.server = self._run("postgres", words, log, keep_open=[server_lock])
        finally:
            os.close(server_lock)
        until = time.monotonic() + ACCEPTS_S
        ready = [str(self.programs / "pg_isready"), "-q", "-h", str(self.socket), "-p", PORT, "-U", SUPERUSER]
        while subprocess.run(ready, env=CLEAN, check=False).returncode != 0:
            if self.ended() or time.monotonic() > until:
                said = self.log.read_text(encoding="utf-8", errors="replace")
                raise LocalServiceError(f"the local database does not accept connections:\n{_tail(said)}")
            time.sleep(0.02)

    def _run(
        self, program: str, words: Sequence[str], output: IO[bytes], *, keep_open: Sequence[int] = ()
    ) -> subprocess.Popen[bytes]:
        """Start a program of PostgreSQL in its own session, as the server's user."""
        return subprocess.Popen(
            [str(self.programs / program), *words],
            cwd=self.cluster,
            env=CLEAN,
            stdin=subprocess.DEVNULL,
            stdout=output,
            stderr=output,
            start_new_session=True,
            umask=0o077,
            user=self.run_as.uid,
            group=self.run_as.gid,
            extra_groups=None if self.run_as.uid is None else [],
            pass_fds=keep_open,
            preexec_fn=self._bind,  # noqa: PLW1509 - only started from the main thread
        )

    def ended(self) -> bool:
        """Say whether the server ended by itself."""
        return self.server is not None and self.server.poll() is not None

    def stop(self) -> None:
        """Stop the server: sessions are cut and data is written; after a while harder, at last by force."""
        if self.in_use < 0:
            return
        for number in (signal.SIGINT, signal.SIGQUIT, signal.SIGKILL):
            if self.server is None or self.server.poll() is not None:
                break
            self.server.send_signal(number)
            try:
                self.server.wait(STOPS_S)
            except subprocess.TimeoutExpired:
                continue
        shutil.rmtree(self.socket, ignore_errors=True)
        if self.wish.throwaway:
            shutil.rmtree(self.wish.folder)
            _clear_throwaways(self.wish.folder.parent)
        os.close(self.in_use)
        self.in_use = -1

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.stop()


def kept() -> Wish:
    """Return the demo's cluster, kept between starts."""
    return Wish(places.home() / "demo")


def throwaway(*, durable: bool) -> Wish:
    """Return a new cluster that is gone when it stops."""
    return Wish(places.throwaway(durable=durable), durable=durable, throwaway=True)


def _clear_throwaways(parent: Path) -> None:
    """Remove the throwaway clusters of processes that were killed, once nothing of them lives any more."""
    for folder in parent.iterdir():
        name = THROWAWAY_NAME.fullmatch(folder.name)
        if name is None or lives(int(name[1])):
            continue
        with contextlib.suppress(FileNotFoundError):  # another process was faster
            server_lock = places.lock(Wish(folder).server_lock)
            if server_lock is not None:
                shutil.rmtree(places.socket_of(folder), ignore_errors=True)
                shutil.rmtree(folder)
                os.close(server_lock)


def _tail(text: str) -> str:
    return "\n".join(f"  {line}" for line in text.splitlines()[-12:])


def run(command: list[str], options: argparse.Namespace) -> int:
    """Run the command as the owner's role and return its exit status."""
    left = env.left_by_demo()
    if "OWNER_DATABASE_URL" in left and not options.throwaway:
        return _run_with({**left, "DATABASE_URL": left["OWNER_DATABASE_URL"]}, command)
    wish = throwaway(durable=False) if options.throwaway else kept()
    with LocalPostgres(replace(wish, programs=options.programs)) as database:
        left = {"DATABASE_URL": database.owner.url(), "LOCAL_DEMO": "1", "POSTGRESQL_PROGRAMS": str(database.programs)}
        return _run_with(left, command)


def _run_with(settings: dict[str, str], command: list[str]) -> int:
    """Run the command; an interrupt is the command's to answer, and the database stays until it has."""
    signal.signal(signal.SIGINT, lambda _number, _frame: None)
    process = subprocess.Popen(command, env=env.for_child(settings))
    signal.signal(signal.SIGTERM, lambda number, _frame: process.send_signal(number))
    return process.wait()


def main() -> int:
    """Read the command line; return the command's exit status."""
    reader = argparse.ArgumentParser(prog="python -m config.local.postgres", description=__doc__)
    run_reader = reader.add_subparsers(required=True).add_parser("run", help="run a command beside the database")
    run_reader.add_argument("--throwaway", action="store_true", help="beside a new, empty one that goes afterwards")
    run_reader.add_argument("--programs", type=Path, help="folder of other PostgreSQL programs, 15 or newer")
    run_reader.add_argument("command", nargs="+", help="the command and its arguments, after --")
    options = reader.parse_args()
    try:
        return run(options.command, options)
    except LocalServiceError as why:
        sys.stderr.write(f"{why}\n")
        return 1


if __name__ == "__main__":
    sys.exit(main())
