"""The demo: the whole service on this machine with nothing installed beside it; `make demo` runs this.

Database, periodic jobs and web process are started in this order and stopped in the opposite one. Never for
production.
"""

import argparse
import contextlib
import errno
import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Iterator, Mapping, Sequence
from typing import Self

import psycopg

from config import env
from config.local import postgres
from config.local.bound import bound_to_parent
from config.local.errors import LocalServiceError
from config.local.places import CHECKOUT, lock
from config.local.roles import PURGE, WEB
from fixtures.demo.sign_ins import how_to_sign_in

STATE = CHECKOUT / ".state"
FIRST_PORT, LAST_PORT, HIGHEST_PORT = 8000, 8099, 65_535
ANSWER_WAIT_S = 30.0
STOP_WAIT_S = 40.0
"""Above gunicorn's own grace of 25 s for requests under way."""
LOOK_EVERY_S = 0.1


def run(*, bare: bool = False) -> None:
    """Run until told to stop by a signal; raise LocalServiceError when a part cannot start or ends by itself.

    `bare` leaves the carrier as it is loaded, without the thirty days before.
    """
    stopping = threading.Event()
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, lambda _number, _frame: stopping.set())
    with open_door(env.given("PORT")) as door, postgres.LocalPostgres(postgres.kept()) as database:
        variables = {
            "ADDRESS": f"http://127.0.0.1:{door.getsockname()[1]}",
            "LOCAL_DEMO": "1",
            "DEMO_PROCESS": str(os.getpid()),
            "DATABASE_URL": database.web.url(),
            "PURGE_DATABASE_URL": database.purge.url(),
            "OWNER_DATABASE_URL": database.owner.url(),
            "MEDIA_ROOT": str(STATE / "media"),
            "HISTORY_DIGEST_DIR": str(STATE / "digests"),
            "POSTGRESQL_PROGRAMS": str(database.programs),
            "DJANGO_SETTINGS_MODULE": "config.settings.base",
        }
        with _left_for_other_commands(variables):
            if _prepared(database, variables, stopping):
                _serve(door.fileno(), variables, stopping, database, bare=bare)
    say("Everything is stopped. `make demo` goes on with the same data, `make demo-reset` throws it away.")


def open_door(wanted: str) -> socket.socket:
    """Return a listening socket on the wanted port, or on the first free one from 8000 when none is wanted."""
    if wanted and not (wanted.isascii() and wanted.isdigit() and 0 < int(wanted) <= HIGHEST_PORT):
        raise LocalServiceError(f"PORT is {wanted!r}, must be a number from 1 to {HIGHEST_PORT}")
    for port in [int(wanted)] if wanted else range(FIRST_PORT, LAST_PORT + 1):
        try:
            return socket.create_server(("127.0.0.1", port))
        except OSError as why:
            if why.errno != errno.EADDRINUSE:
                raise LocalServiceError(f"port {port} of 127.0.0.1 cannot be opened: {why.strerror}") from why
    taken = f"port {wanted} of 127.0.0.1 is" if wanted else f"the ports {FIRST_PORT} to {LAST_PORT} of 127.0.0.1 are"
    raise LocalServiceError(f"{taken} taken; name another with PORT=…")


@contextlib.contextmanager
def _left_for_other_commands(variables: Mapping[str, str]) -> Iterator[None]:
    """Let manage.py commands of this checkout find the demo's database while it runs; see config.env."""
    STATE.mkdir(exist_ok=True)
    env.RUNNING_DEMO.write_text(json.dumps(variables, indent=2), encoding="utf-8")
    try:
        yield
    finally:
        env.RUNNING_DEMO.unlink(missing_ok=True)


def _prepared(database: postgres.LocalPostgres, variables: Mapping[str, str], stopping: threading.Event) -> bool:
    """Migrate, and load the demo carrier into an empty database; False when told to stop before the end."""
    as_owner = {"DATABASE_URL": database.owner.url(), "STATEMENT_TIMEOUT_MS": "0", "IDLE_TRANSACTION_TIMEOUT_MS": "0"}
    words = ["-m", "config.prepare", f"--web-role={WEB}", f"--purge-role={PURGE}", "--quiet"]
    _python(words, {**variables, **as_owner})
    with psycopg.connect(database.owner.url()) as connection:
        empty = connection.execute("SELECT FROM fleet_carrier LIMIT 1").fetchone() is None
    if empty and not stopping.is_set():
        _python(["manage.py", "load_demo"], variables)
    return not stopping.is_set()


def _python(words: list[str], variables: Mapping[str, str]) -> None:
    """Run Python in the checkout to its end."""
    changed = env.for_child({"LOG_LEVEL": "WARNING", **variables})
    done = subprocess.run([sys.executable, *words], cwd=CHECKOUT, env=changed, start_new_session=True, check=False)
    if done.returncode != 0:
        raise LocalServiceError(f"`python {' '.join(words)}` failed")


class Service:
    """A part of the demo in a process of its own; a context manager that stops it.

    It runs in its own session, so that an interrupt in the terminal reaches the demo alone, which stops its parts in
    order; the kernel ends it when the demo is killed.
    """

    def __init__(
        self, name: str, words: Sequence[str], variables: Mapping[str, str], *, keep_open: Sequence[int] = ()
    ) -> None:
        """Start `python <words>` in the checkout with the variables added."""
        self.name = name
        self.process = subprocess.Popen(
            [sys.executable, *words],
            cwd=CHECKOUT,
            env=env.for_child(variables),
            stdin=subprocess.DEVNULL,
            start_new_session=True,
            pass_fds=keep_open,
            preexec_fn=bound_to_parent(signal.SIGTERM),  # noqa: PLW1509 - one thread
        )

    def ended(self) -> bool:
        """Say whether it ended by itself."""
        return self.process.poll() is not None

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        """Ask it to end, wait, and end it by force after that."""
        self.process.terminate()
        try:
            self.process.wait(STOP_WAIT_S)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        with contextlib.suppress(ProcessLookupError):  # children that it left, if it was killed
            os.killpg(self.process.pid, signal.SIGTERM)


def _serve(
    door: int,
    variables: Mapping[str, str],
    stopping: threading.Event,
    database: postgres.LocalPostgres,
    *,
    bare: bool,
) -> None:
    """Run the periodic jobs and the web process, say where they are, play the days before, and wait."""
    address = variables["ADDRESS"]
    gunicorn = ["-m", "gunicorn", "--config=python:config.gunicorn", f"--bind=fd://{door}", "--workers=2"]
    gunicorn += ["--log-level=warning", "config.wsgi"]
    with (
        Service("the jobs", ["manage.py", "run_jobs", "--interval=5"], variables) as jobs,
        Service("the web process", gunicorn, variables, keep_open=[door]) as web,
        contextlib.ExitStack() as parts,  # ends when it is done, or is broken off and goes on at the next start
    ):
        if _answers(f"{address}/livez", web, stopping):
            say(f"\nOpen {address}/ in a browser: the people of the demo stand on its sign-in page.")
            say(how_to_sign_in(address))
            say(f"API            {address}/api/v1/\nDocumentation  {address}/docs\nStop           Ctrl-C")
            if not bare:
                parts.enter_context(Service("the thirty days", ["manage.py", "play_life"], variables))
        while not stopping.wait(LOOK_EVERY_S):
            for part in (jobs, web, database):
                if part.ended():
                    raise LocalServiceError(
                        f"Everything is stopped: {part.name} ended by itself; what it said stands above. "
                        "`make demo` starts again with the same data."
                    )
        say("Stopping the web process, the jobs and the database, in this order.")


def _answers(address: str, web: Service, stopping: threading.Event) -> bool:
    """Wait for the first answer; False when told to stop before."""
    until = time.monotonic() + ANSWER_WAIT_S
    while not stopping.is_set() and not web.ended():
        try:
            with urllib.request.urlopen(address, timeout=ANSWER_WAIT_S):  # noqa: S310 - our own
                return True
        except urllib.error.URLError as why:
            if time.monotonic() > until:
                raise LocalServiceError(f"{address} does not answer: {why.reason}") from why
            stopping.wait(LOOK_EVERY_S)
    return False


def reset() -> None:
    """Throw this checkout's demo data away: database, photos, digests; raise LocalServiceError while it runs."""
    wish = postgres.kept()
    if wish.folder.is_dir():
        if lock(wish.in_use) is None:
            raise LocalServiceError("the demo is running; stop it first")
        shutil.rmtree(wish.folder)
        with contextlib.suppress(OSError):  # something else is kept there
            wish.folder.parent.rmdir()
    for name in ("media", "digests"):
        shutil.rmtree(STATE / name, ignore_errors=True)
    say("The demo's data is gone; the next `make demo` starts over.")


def say(text: str) -> None:
    """Tell the person at the terminal."""
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


def main() -> int:
    """Run or reset the demo; return 1 with a sentence on standard error when that is not possible."""
    reader = argparse.ArgumentParser(
        prog="python -m config.local.demo",
        description=__doc__,
        epilog="The variable PORT names a port; without it the first free one from 8000 is taken.",
    )
    reader.add_argument("--reset", action="store_true", help="throw the demo's data away instead")
    reader.add_argument("--bare", action="store_true", help="leave the carrier without its thirty days")
    options = reader.parse_args()
    try:
        reset() if options.reset else run(bare=options.bare)
    except LocalServiceError as why:
        sys.stderr.write(f"{why}\n")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
