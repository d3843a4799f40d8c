"""The local database as its users see it: started, with both roles and a database, and its addresses.

`python -m config.local.postgres run -- <command>` runs a command beside it: beside the demo's if that is
running, otherwise one of its own kept in the same files.
"""

import json
import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Self

from config import env
from config.database_url import Database
from config.local import places
from config.local.cluster import SUPERUSER
from config.local.errors import LocalPostgresError
from config.local.roles import DATABASE, OWNER, WEB, prepare

STOP_WAIT_S = 90.0


@dataclass(frozen=True)
class Wish:
    """Which cluster: its folder, whether it must survive a power cut, whether its files go at the end."""

    folder: Path
    durable: bool = True
    throwaway: bool = False


class LocalPostgres:
    """A running local database; a context manager that ends it."""

    def __init__(self, wish: Wish) -> None:
        """Start it and wait until it accepts; raise LocalPostgresError when it cannot."""
        words = ["-m", "config.local.supervisor", "--folder", str(wish.folder), "--parent", str(os.getpid())]
        words += [] if wish.durable else ["--fast"]
        words += ["--throwaway"] if wish.throwaway else []
        self.supervisor = subprocess.Popen(
            [sys.executable, *words],
            cwd=places.CHECKOUT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            start_new_session=True,
        )
        assert self.supervisor.stdout is not None
        line = self.supervisor.stdout.readline()
        said = json.loads(line) if line else {"error": "its supervisor ended without a word"}
        if "error" in said:
            self.stop()
            raise LocalPostgresError(said["error"])
        self.superuser = Database("postgres", SUPERUSER, "", said["socket"], "", {})
        prepare(self.superuser)
        self.owner = self.superuser.with_name(DATABASE).with_user(OWNER)
        self.web = self.superuser.with_name(DATABASE).with_user(WEB)

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
    return Wish(places.throwaway(), durable=durable, throwaway=True)


def run(command: list[str]) -> int:
    """Run the command as the owner's role beside the demo's database and return its exit status."""
    left = env.left_by_demo()
    if "OWNER_DATABASE_URL" in left:
        return _run_with({**left, "DATABASE_URL": left["OWNER_DATABASE_URL"]}, command)
    with LocalPostgres(kept()) as database:
        return _run_with({"DATABASE_URL": database.owner.url(), "LOCAL_DEMO": "1"}, command)


def _run_with(settings: dict[str, str], command: list[str]) -> int:
    return subprocess.run(command, env=env.for_child(settings), check=False).returncode


def main() -> int:
    """Read the command line; return the command's exit status, 2 when there is none."""
    if sys.argv[1:3] != ["run", "--"] or not sys.argv[3:]:
        sys.stderr.write("usage: python -m config.local.postgres run -- <command> [argument…]\n")
        return 2
    try:
        return run(sys.argv[3:])
    except LocalPostgresError as why:
        sys.stderr.write(f"{why}\n")
        return 1


if __name__ == "__main__":
    sys.exit(main())
