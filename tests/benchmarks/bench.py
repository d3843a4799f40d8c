"""What a case may use: its own copy of the demo's database, the service over it, rows counted, and the floor."""

import os
import socket
import statistics
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Mapping
from contextlib import ExitStack
from functools import cached_property
from pathlib import Path
from types import TracebackType
from typing import Self

import psycopg
from psycopg import sql

from config.env import CHECKOUT
from config.local.postgres import LocalPostgres
from fixtures.demo.sign_ins import PASSWORD
from fixtures.scenario.client import Client
from tests.benchmarks.figures import CLIENTS, Figure, Request, timed
from tests.support.database import clone, maintaining

WAIT_S = 30
FLOOR_BODY = {"name": "parent", "lines": [{"text": f"line {number}"} for number in range(5)]}
FLOOR_ROWS = {"floor_parent": 1, "floor_line": 5}


def load_template(postgres: LocalPostgres, folder: Path) -> None:
    """Migrate the server's own database and load the demo: what every case gets a copy of."""
    variables = _variables(postgres.owner.url(), folder)
    for words in (
        ("migrate", "--run-syncdb", "--no-input", "--verbosity=0"),
        ("grant_web_role", "--role", postgres.web.user),
        ("load_demo",),
    ):
        _run(variables, "manage.py", *words)


class Bench:
    """One case's place to measure in; a context manager that ends what it started."""

    def __init__(self, postgres: LocalPostgres, name: str, folder: Path, *, requests: int, share: float) -> None:
        """Copy the demo's database; the web processes start with the first request."""
        self.requests = max(CLIENTS, requests // CLIENTS * CLIENTS)
        self._share = share
        self._started = ExitStack()
        database = f"bench_{name}"
        with maintaining(postgres.owner) as connection:
            clone(connection, postgres.owner.name, database)
        self.owner, self.web = postgres.owner.with_name(database), postgres.web.with_name(database)
        self._folder = folder

    def rows(self, full: int) -> int:
        """How many rows to take where a full run takes this many."""
        return max(1, round(full * self._share))

    def run(self, *words: str) -> str:
        """Run Python with these words as the owner's role over this database (as `"manage.py", "migrate"`)."""
        return _run(_variables(self.owner.url(), self._folder), *words)

    def count(self, *tables: str) -> dict[str, int]:
        """How many rows each table has."""
        with psycopg.connect(self.owner.url()) as connection:
            asked = {name: sql.SQL("SELECT count(*) FROM {}").format(sql.Identifier(name)) for name in tables}
            rows = {name: connection.execute(statement).fetchone() for name, statement in asked.items()}
        return {name: int(row[0]) for name, row in rows.items() if row is not None}

    @cached_property
    def address(self) -> str:
        """The address of two web processes over this database."""
        door = self._started.enter_context(socket.create_server(("127.0.0.1", 0)))
        words = ["-m", "gunicorn", "--config=python:config.gunicorn", f"--bind=fd://{door.fileno()}", "--workers=2"]
        web = subprocess.Popen(
            [sys.executable, *words, "--log-level=error", "config.wsgi"],
            cwd=CHECKOUT,
            env=_variables(self.web.url(), self._folder),
            pass_fds=[door.fileno()],
            stderr=subprocess.DEVNULL,
        )
        self._started.callback(web.wait, WAIT_S)
        self._started.callback(web.terminate)
        address = f"http://127.0.0.1:{door.getsockname()[1]}"
        with urllib.request.urlopen(f"{address}/livez", timeout=WAIT_S):
            return address

    def signed_in(self, username: str) -> Client:
        """A person of the demo with a token."""
        client = Client(self.address, username)
        client.sign_in(username, PASSWORD)
        return client

    def rate(
        self,
        name: str,
        client: Client,
        make: Callable[[], Request],
        *,
        adds: Mapping[str, int],
        plain: Figure | None = None,
    ) -> Figure:
        """Requests a second, after as many to warm up; `adds` names the rows by table that each must have added."""
        before = self.count(*adds)
        timed(self.address, client.token, self.requests, make)
        begun = time.perf_counter()
        taken = sorted(timed(self.address, client.token, self.requests, make))
        per_second = len(taken) / (time.perf_counter() - begun)
        added = {table: rows - before[table] for table, rows in self.count(*adds).items()}
        expected = {table: 2 * self.requests * rows for table, rows in adds.items()}
        if added != expected:
            raise SystemExit(f"{name}: rows added {added}, expected {expected}")
        median, slow = statistics.median(taken) * 1000, taken[max(0, int(len(taken) * 0.99) - 1)] * 1000
        return Figure(name, per_second, plain, f"p50 {median:.1f} ms, p99 {slow:.1f} ms")

    @cached_property
    def floor(self) -> Figure:
        """The least a framework of this kind does, on these web processes: a parent with five rows, with token."""
        return self.rate("floor", self.signed_in("iris"), lambda: ("POST", "/floor", FLOOR_BODY, 201), adds=FLOOR_ROWS)

    def __enter__(self) -> Self:
        """Return itself."""
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        """End the web processes."""
        self._started.close()


def _variables(database_url: str, folder: Path) -> dict[str, str]:
    return {
        **os.environ,
        "DATABASE_URL": database_url,
        "DJANGO_SETTINGS_MODULE": "tests.benchmarks.settings",
        "SECRET_KEY": "of a benchmark alone, which ends with its database, and long enough",
        "ALLOWED_HOSTS": "127.0.0.1",
        "MEDIA_ROOT": str(folder),
        "HISTORY_DIGEST_DIR": str(folder),
        "LOCAL_DEMO": "1",
        "LOG_LEVEL": "ERROR",
    }


def _run(variables: dict[str, str], *words: str) -> str:
    done = subprocess.run(
        [sys.executable, *words], cwd=CHECKOUT, env=variables, check=False, text=True, capture_output=True
    )
    if done.returncode:
        raise SystemExit(f"{' '.join(words)}: {done.returncode}\n{done.stdout}{done.stderr}")
    return done.stdout
