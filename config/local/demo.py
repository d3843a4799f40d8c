"""The demo: the whole service on this machine with nothing installed beside it; `make demo` runs this.

Database, sweeps and web process are started in this order and stopped in the opposite one. Never for
production.
"""

import argparse
import contextlib
import json
import os
import signal
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Iterator, Mapping

import psycopg

from config import env
from config.database_url import Database
from config.local import postgres
from config.local.binaries import find
from config.local.door import open_door
from config.local.errors import LocalServiceError
from config.local.places import CHECKOUT, runner
from config.local.roles import PURGE, WEB
from config.local.service import Service

STATE = CHECKOUT / ".state"
ANSWER_WAIT_S = 30.0
LOOK_EVERY_S = 0.1


def run() -> None:
    """Run until told to stop by a signal; raise LocalServiceError when a part cannot start or ends by itself."""
    told = threading.Event()
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, lambda _number, _frame: told.set())
    with open_door(env.given("PORT")) as door:
        address = f"http://127.0.0.1:{door.getsockname()[1]}"
        with _sign_ins(address) as sign_ins, postgres.LocalPostgres(postgres.kept()) as database:
            variables = {"ADDRESS": address, **_variables(database)}
            with _left_for_other_commands(variables):
                for words, what_with in _steps(database, variables):
                    if told.is_set():
                        break
                    _python(words, what_with)
                else:
                    _serve(door.fileno(), variables, told, sign_ins, database)
    say("Everything is stopped. `make demo` goes on with the same data, `make demo-reset` throws it away.")


def _variables(database: postgres.LocalPostgres) -> dict[str, str]:
    """Return what the parts of the demo run with: the roles that own nothing, and files in the checkout."""
    return {
        "LOCAL_DEMO": "1",
        "DEMO_PROCESS": str(os.getpid()),
        "DATABASE_URL": database.web.url(),
        "PURGE_DATABASE_URL": database.purge.url(),
        "OWNER_DATABASE_URL": database.owner.url(),
        "MEDIA_ROOT": str(STATE / "media"),
        "HISTORY_DIGEST_DIR": str(STATE / "digests"),
        "POSTGRESQL_PROGRAMS": str(find(runner())),
        "DJANGO_SETTINGS_MODULE": "config.settings.base",
    }


@contextlib.contextmanager
def _left_for_other_commands(variables: Mapping[str, str]) -> Iterator[None]:
    """Let manage.py commands of this checkout find the demo's database while it runs; see config.env."""
    STATE.mkdir(exist_ok=True)
    env.RUNNING_DEMO.write_text(json.dumps(variables, indent=2), encoding="utf-8")
    try:
        yield
    finally:
        env.RUNNING_DEMO.unlink(missing_ok=True)


def _steps(
    database: postgres.LocalPostgres, variables: Mapping[str, str]
) -> Iterator[tuple[list[str], dict[str, str]]]:
    """Give each command before the first answer and what it runs with, once the one before has done its work."""
    as_owner = {"DATABASE_URL": database.owner.url(), "STATEMENT_TIMEOUT_MS": "0", "IDLE_TRANSACTION_TIMEOUT_MS": "0"}
    yield ["-m", "config.prepare", f"--web-role={WEB}", f"--purge-role={PURGE}", "--quiet"], {**variables, **as_owner}
    if _is_empty(database.owner):
        yield ["manage.py", "load_demo"], dict(variables)


def _is_empty(owner: Database) -> bool:
    with psycopg.connect(owner.url()) as connection:
        return connection.execute("SELECT FROM fleet_carrier LIMIT 1").fetchone() is None


def _python(words: list[str], variables: Mapping[str, str]) -> None:
    """Run Python in the checkout to its end."""
    command = [sys.executable, *words]
    changed = env.for_child({"LOG_LEVEL": "WARNING", **variables})
    done = subprocess.run(command, cwd=CHECKOUT, env=changed, start_new_session=True, check=False)
    if done.returncode != 0:
        raise LocalServiceError(f"`python {' '.join(words)}` failed")


@contextlib.contextmanager
def _sign_ins(address: str) -> Iterator["subprocess.Popen[str]"]:
    """Start printing who may sign in: it needs no database, so the other processor does it meanwhile."""
    command = [sys.executable, "manage.py", "demo_sign_ins", "--address", address]
    changed = env.for_child({"LOCAL_DEMO": "1", "DATABASE_URL": "postgresql:///unused"})
    with subprocess.Popen(
        command, cwd=CHECKOUT, env=changed, stdout=subprocess.PIPE, text=True, start_new_session=True
    ) as printing:
        try:
            yield printing
        finally:
            printing.terminate()  # nobody reads any more what it has not said by now


def _serve(
    door: int,
    variables: Mapping[str, str],
    told: threading.Event,
    sign_ins: "subprocess.Popen[str]",
    database: postgres.LocalPostgres,
) -> None:
    """Run the sweeps and the web process, say where they are, and wait."""
    address = variables["ADDRESS"]
    gunicorn = ["-m", "gunicorn", "--config=python:config.gunicorn", f"--bind=fd://{door}", "--workers=2"]
    gunicorn += ["--preload", "--log-level=warning", "config.wsgi"]
    with (
        Service("the sweeps", ["manage.py", "run_sweeps", "--interval=5"], variables) as sweeps,
        Service("the web process", gunicorn, variables, keep_open=[door]) as web,
    ):
        if _answers(f"{address}/livez", web, told):
            said, _ = sign_ins.communicate()
            if sign_ins.returncode != 0:
                raise LocalServiceError("`manage.py demo_sign_ins` failed")
            say(said)
            say(f"Address        {address}/api/v1/\nDocumentation  {address}/docs\nStop           Ctrl-C")
        while not told.wait(LOOK_EVERY_S):
            for part in (sweeps, web, database):
                if part.ended():
                    raise LocalServiceError(
                        f"Everything is stopped: {part.name} ended by itself; what it said stands above. "
                        "`make demo` starts again with the same data."
                    )
        say("Stopping the web process, the sweeps and the database, in this order.")


def _answers(address: str, web: Service, told: threading.Event) -> bool:
    """Wait for the first answer; False when told to stop before."""
    until = time.monotonic() + ANSWER_WAIT_S
    while not told.is_set() and not web.ended():
        try:
            with urllib.request.urlopen(address, timeout=ANSWER_WAIT_S):  # noqa: S310 - our own
                return True
        except urllib.error.URLError as why:
            if time.monotonic() > until:
                raise LocalServiceError(f"{address} does not answer: {why.reason}") from why
            told.wait(LOOK_EVERY_S)
    return False


def say(text: str) -> None:
    """Tell the person at the terminal."""
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


def main() -> int:
    """Run the demo; return 1 with a sentence on standard error when it cannot run."""
    argparse.ArgumentParser(
        prog="python -m config.local.demo",
        description=__doc__,
        epilog="The variable PORT names a port; without it the first free one from 8000 is taken.",
    ).parse_args()
    try:
        run()
    except LocalServiceError as why:
        sys.stderr.write(f"{why}\n")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
