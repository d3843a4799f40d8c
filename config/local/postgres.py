"""The local database as its users see it: started, with both roles and a database, and its addresses.

`python -m config.local.postgres run -- <command>` runs a command with DATABASE_URL set to it: to the running
demo's, or else to the demo's files under a server started for the command alone.
"""

import argparse
import json
import os
import signal
import subprocess
import sys
from dataclasses import dataclass, replace
from pathlib import Path
from types import TracebackType
from typing import IO, Self, cast

import psycopg

from config import env
from config.database_url import Database
from config.local import places
from config.local.binaries import find
from config.local.child import require_main_thread
from config.local.cluster import PORT, SUPERUSER
from config.local.errors import LocalPostgresError
from config.local.roles import DATABASE, OWNER, PURGE, WEB, prepare

STOP_WAIT_S = 90.0


@dataclass(frozen=True)
class Wish:
    """Which cluster: its folder, whether it must survive a power cut, whether its files go at the end.

    `programs` names the folder of another PostgreSQL's programs instead of the wheel's.
    """

    folder: Path
    durable: bool = True
    throwaway: bool = False
    programs: Path | None = None


class LocalPostgres:
    """A running local database; a context manager that ends it."""

    name = "the database"

    def __init__(self, wish: Wish) -> None:
        """Start it and wait until it accepts; raise LocalPostgresError when it cannot."""
        require_main_thread()
        words = ["-m", "config.local.supervisor", "--folder", str(wish.folder), "--parent", str(os.getpid())]
        words += [] if wish.durable else ["--fast"]
        words += ["--throwaway"] if wish.throwaway else []
        words += ["--programs", str(wish.programs)] if wish.programs else []
        self.supervisor = subprocess.Popen(
            [sys.executable, *words],
            cwd=places.CHECKOUT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            start_new_session=True,
        )
        line = cast("IO[bytes]", self.supervisor.stdout).readline()
        said = json.loads(line) if line else {"error": "its supervisor ended without a word"}
        if "error" in said:
            self.stop()
            raise LocalPostgresError(said["error"])
        self.superuser = Database("postgres", SUPERUSER, "", said["socket"], PORT, {})
        try:
            prepare(self.superuser)
        except psycopg.Error:
            self.stop()
            raise
        self.owner = self.superuser.with_name(DATABASE).with_user(OWNER)
        self.web = self.superuser.with_name(DATABASE).with_user(WEB)
        self.purge = self.superuser.with_name(DATABASE).with_user(PURGE)

    def ended(self) -> bool:
        """Say whether it is gone for good: nobody starts the server again once its supervisor has ended."""
        return self.supervisor.poll() is not None

    def stop(self) -> None:
        """Stop the server and wait for its end."""
        self.supervisor.communicate(timeout=STOP_WAIT_S)

    def __enter__(self) -> Self:
        """Return the running database."""
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        """Stop it."""
        self.stop()


def kept() -> Wish:
    """Return the demo's cluster, kept between starts."""
    return Wish(places.home() / "demo")


def throwaway(*, durable: bool) -> Wish:
    """Return a new cluster that is gone when it stops."""
    return Wish(places.throwaway(durable=durable), durable=durable, throwaway=True)


def run(command: list[str], options: argparse.Namespace) -> int:
    """Run the command as the owner's role and return its exit status."""
    left = env.left_by_demo()
    if "OWNER_DATABASE_URL" in left and not options.throwaway:
        return _run_with({**left, "DATABASE_URL": left["OWNER_DATABASE_URL"]}, command)
    wish = throwaway(durable=False) if options.throwaway else kept()
    with LocalPostgres(replace(wish, programs=options.programs)) as database:
        programs = str(options.programs or find(places.runner()))
        left = {"DATABASE_URL": database.owner.url(), "LOCAL_DEMO": "1", "POSTGRESQL_PROGRAMS": programs}
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
    except LocalPostgresError as why:
        sys.stderr.write(f"{why}\n")
        return 1


if __name__ == "__main__":
    sys.exit(main())
