"""What a case may use: its own copy of the demo's database, the service over it, rows counted, floor and peer."""

import os
import socket
import subprocess
import sys
import urllib.request
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import ExitStack
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from types import TracebackType
from typing import Self

import psycopg
from psycopg import sql

from config.database_url import Database
from config.env import CHECKOUT
from config.local.postgres import LocalPostgres
from fixtures.demo.sign_ins import PASSWORD
from fixtures.scenario.client import Client
from tests.benchmarks.figures import CLIENTS, Cost, Request, timed
from tests.benchmarks.processor import added, database_s, web_s
from tests.support.database import clone, maintaining

WAIT_S = 30
ROUNDS = 5
"""Each kind of request is measured in so many rounds, in turn with the others: a busy minute meets all alike."""
SERVICE = ("--config=python:config.gunicorn", "config.wsgi")
PEER = ("django.core.wsgi:get_wsgi_application()",)
PEER_SETTINGS = "tests.benchmarks.peer.settings"
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


@dataclass(frozen=True)
class Served:
    """Two web processes over one database."""

    address: str
    master: int
    owner: Database
    web: Database


@dataclass(frozen=True)
class Case:
    """One kind of request: who sends it where, the rows by table that each must add, the most it may cost of others."""

    name: str
    served: Served
    authorization: str
    make: Callable[[], Request]
    adds: Mapping[str, int] = field(default_factory=dict)
    most: Mapping[str, float | None] = field(default_factory=dict)


class Bench:
    """One case's place to measure in; a context manager that ends what it started."""

    def __init__(self, postgres: LocalPostgres, name: str, folder: Path, *, requests: int, share: float) -> None:
        """Copy the demo's database; the web processes start with the first request."""
        self.requests = max(CLIENTS * ROUNDS, requests // (CLIENTS * ROUNDS) * CLIENTS * ROUNDS)
        self._share = share
        self._started = ExitStack()
        self._postgres = postgres
        database = f"bench_{name}"
        with maintaining(postgres.owner) as connection:
            clone(connection, postgres.owner.name, database)
        self.owner, self.web = postgres.owner.with_name(database), postgres.web.with_name(database)
        self._folder = folder

    def beside(self, name: str) -> "Bench":
        """Another copy of the demo's database, to be filled otherwise; a context manager as well."""
        return Bench(self._postgres, name, self._folder, requests=self.requests, share=self._share)

    def rows(self, full: int) -> int:
        """How many rows to take where a full run takes this many."""
        return max(1, round(full * self._share))

    def run(self, *words: str) -> str:
        """Run Python with these words as the owner's role over this database (as `"manage.py", "migrate"`)."""
        return _run(_variables(self.owner.url(), self._folder), *words)

    @cached_property
    def service(self) -> Served:
        """The service over this database."""
        return self._serve(SERVICE, _variables(self.web.url(), self._folder), self.owner, self.web)

    def peer(self, walk_lists: str) -> tuple[Served, str]:
        """The peer over a database of its own that knows the units of these walk lists, and what its driver sends."""
        database = self.web.with_name(f"{self.web.name}_peer")
        with psycopg.connect(self.owner.url(), autocommit=True) as connection:
            names = sql.Identifier(database.name), sql.Identifier(database.user)
            connection.execute(sql.SQL("CREATE DATABASE {} OWNER {}").format(*names))
        variables = _variables(database.url(), self._folder) | {"DJANGO_SETTINGS_MODULE": PEER_SETTINGS}
        for further in ((), ("--run-syncdb",)):  # its tables without migrations name those that have some
            _run(variables, "-m", "django", "migrate", "--no-input", "--verbosity=0", *further)
        token = _run(variables, "-m", "tests.benchmarks.peer.seed", given=walk_lists)
        return self._serve(PEER, variables, database, database), f"Token {token}"

    def _serve(self, words: tuple[str, ...], variables: dict[str, str], owner: Database, web: Database) -> Served:
        door = self._started.enter_context(socket.create_server(("127.0.0.1", 0)))
        process = subprocess.Popen(
            [
                sys.executable,
                "-m",
                "gunicorn",
                f"--bind=fd://{door.fileno()}",
                "--workers=2",
                "--log-level=error",
                *words,
            ],
            cwd=CHECKOUT,
            env=variables,
            pass_fds=[door.fileno()],
            stderr=subprocess.DEVNULL,
        )
        self._started.callback(process.wait, WAIT_S)
        self._started.callback(process.terminate)
        address = f"http://127.0.0.1:{door.getsockname()[1]}"
        with urllib.request.urlopen(f"{address}/livez", timeout=WAIT_S):
            return Served(address, process.pid, owner, web)

    def signed_in(self, username: str) -> Client:
        """A person of the demo with a token."""
        client = Client(self.service.address, username)
        client.sign_in(username, PASSWORD)
        return client

    def case(
        self,
        name: str,
        client: Client,
        make: Callable[[], Request],
        *,
        adds: Mapping[str, int] | None = None,
        most: Mapping[str, float | None] | None = None,
    ) -> Case:
        """A kind of request to the service over this database."""
        return Case(name, self.service, f"Bearer {client.token}", make, adds or {}, most or {})

    @property
    def floor(self) -> Case:
        """The least that a framework of this kind does, on the service's own web processes: a parent with five rows."""
        iris = self.signed_in("iris")
        return Case(
            "floor",
            self.service,
            f"Bearer {iris.token}",
            lambda: Request("POST", "/floor", FLOOR_BODY, 201),
            FLOOR_ROWS,
        )

    def costs(self, *cases: Case) -> Iterator[Cost]:
        """What each kind costs, in the order given, after as many requests to warm up as are measured.

        Ends the run when a kind has not added its rows.
        """
        before = [_count(case.served.owner, case.adds) for case in cases]
        costs: dict[str, Cost] = {}
        for case in cases:
            beside = {costs[name]: most for name, most in case.most.items()}
            costs[case.name] = Cost(case.name, [], [], [], beside)
            timed(case.served.address, case.authorization, self.requests, case.make)
        for _ in range(ROUNDS):
            for case in cases:
                self._round(case, costs[case.name])
        for case, rows in zip(cases, before, strict=True):
            expected = {table: rows[table] + 2 * self.requests * each for table, each in case.adds.items()}
            others = [other for other in cases if other is not case and other.served is case.served]
            for table in expected:
                expected[table] += sum(2 * self.requests * other.adds.get(table, 0) for other in others)
            if (counted := _count(case.served.owner, case.adds)) != expected:
                raise SystemExit(f"{case.name}: rows {counted}, expected {expected}")
        yield from costs.values()

    def _round(self, case: Case, cost: Cost) -> None:
        requests = self.requests // ROUNDS
        web, database = web_s(case.served.master), database_s(self._postgres.superuser, case.served.web)
        cost.taken_s.extend(timed(case.served.address, case.authorization, requests, case.make))
        cost.web_s.append(added(web, web_s(case.served.master)) / requests)
        cost.database_s.append(added(database, database_s(self._postgres.superuser, case.served.web)) / requests)

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
        "CONN_MAX_AGE": "86400",  # a session that ends while it is measured takes its count along
        "LOG_LEVEL": "ERROR",
    }


def _count(database: Database, tables: Iterable[str]) -> dict[str, int]:
    """How many rows each table has."""
    with psycopg.connect(database.url()) as connection:
        asked = {name: sql.SQL("SELECT count(*) FROM {}").format(sql.Identifier(name)) for name in tables}
        rows = {name: connection.execute(statement).fetchone() for name, statement in asked.items()}
    return {name: int(row[0]) for name, row in rows.items() if row is not None}


def _run(variables: dict[str, str], *words: str, given: str | None = None) -> str:
    done = subprocess.run(
        [sys.executable, *words], cwd=CHECKOUT, env=variables, check=False, text=True, capture_output=True, input=given
    )
    if done.returncode:
        raise SystemExit(f"{' '.join(words)}: {done.returncode}\n{done.stdout}{done.stderr}")
    return done.stdout
