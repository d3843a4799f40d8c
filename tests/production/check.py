"""`python -m tests.production.check`: does what requirements/production.txt installs bring a reminder to a mailbox?

Into an empty environment goes the production set alone; worker and beat run there by the commands of docker-compose.yml
against a Redis and a PostgreSQL of their own, and one reminder must reach a mail server. Ends only what it started, and
itself after `PATIENCE_S`.
"""

import os
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NoReturn

import psycopg
import yaml

from config.env import CHECKOUT
from config.local.postgres import LocalPostgres, throwaway
from tests.support.mail_sink import MailSink
from tests.support.ports import free_port

PATIENCE_S = 300
WAIT_S = 60.0
STOP_WAIT_S = 10.0
ADDRESS = "compliance@carrier.example"


class CheckFailedError(Exception):
    """What did not happen, with what the processes said."""


class Services:
    """The commands and plain variables of docker-compose.yml, run from the production environment."""

    def __init__(self, bin_folder: Path, folder: Path, variables: Mapping[str, str]) -> None:
        self._services: dict[str, Any] = yaml.safe_load((CHECKOUT / "docker-compose.yml").read_text())["services"]
        self._bin = bin_folder
        self._folder = folder
        self._variables = variables

    def words(self, name: str) -> list[str]:
        """A service's own command, its program taken from the production environment where that has it."""
        return self._here(self._services[name]["command"])

    def _here(self, words: Sequence[str]) -> list[str]:
        ours = self._bin / words[0]
        return [str(ours) if ours.exists() else words[0], *words[1:]]

    def variables(self, name: str) -> dict[str, str]:
        """What compose gives the service; values that it takes from `.env` are the check's own or left out."""
        given = {key: str(value) for key, value in self._services[name].get("environment", {}).items()}
        fixed = {key: value for key, value in given.items() if "${" not in value}
        return {"PATH": f"{self._bin}:/usr/bin:/bin", **fixed, **self._variables}

    def run(self, words: Sequence[str], said: str = "") -> None:
        """Run a command of the production environment to its end."""
        done = subprocess.run(
            self._here(words), cwd=CHECKOUT, env=self.variables("worker"),
            input=said, capture_output=True, text=True, check=False,
        )  # fmt: skip
        if done.returncode != 0:
            raise CheckFailedError(f"{' '.join(words)}:\n{done.stdout}{done.stderr}")

    @contextmanager
    def running(self, name: str, *more: str) -> Iterator[Callable[[], None]]:
        """Run a service until the block ends; gives what raises CheckFailedError once it has ended by itself."""
        log = self._folder / f"{name}.log"
        with log.open("ab") as output:
            process = subprocess.Popen(
                [*self.words(name), *more], cwd=CHECKOUT, env=self.variables(name), start_new_session=True,
                stdin=subprocess.DEVNULL, stdout=output, stderr=output,
            )  # fmt: skip

        def must_live() -> None:
            if process.poll() is not None:
                raise CheckFailedError(f"{name} ended with {process.returncode}:\n{log.read_text(errors='replace')}")

        try:
            yield must_live
            must_live()
        finally:
            _end(process)


def _end(process: "subprocess.Popen[bytes]") -> None:
    if process.poll() is None:
        process.terminate()
        try:
            process.wait(STOP_WAIT_S)
        except subprocess.TimeoutExpired:
            os.killpg(process.pid, signal.SIGKILL)
            process.wait()


def _until(what: str, happened: Callable[[], bool], *must_live: Callable[[], None]) -> None:
    until = time.monotonic() + WAIT_S
    while not happened():
        for check in must_live:
            check()
        if time.monotonic() > until:
            raise CheckFailedError(f"not within {WAIT_S:.0f} s: {what}")
        time.sleep(0.1)
    sys.stdout.write(f"  {what}\n")


def _installed(folder: Path) -> Path:
    """The programs of an empty environment with the production set in it."""
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", str(folder)], check=True)
    pip = [sys.executable, "-m", "pip", "--python", str(folder), "--no-input", "--quiet", "--disable-pip-version-check"]
    wanted = ["--require-hashes", "-r", str(CHECKOUT / "requirements" / "production.txt")]
    # What is imported compiles itself; the rest of it need not be compiled at all.
    subprocess.run([*pip, "install", "--no-compile", *wanted], check=True)
    return folder / "bin"


def _check(folder: Path, database: LocalPostgres, sink: MailSink) -> None:
    programs = _installed(folder / "environment")
    port = free_port()
    services = Services(
        programs,
        folder,
        {
            "DJANGO_SETTINGS_MODULE": "config.settings.base",
            "SECRET_KEY": "known-to-everyone-and-used-by-this-check-alone-0123456789",
            "ALLOWED_HOSTS": "localhost",
            "DATABASE_URL": database.web.url(),
            "PURGE_DATABASE_URL": database.purge.url(),
            "REDIS_URL": f"redis://127.0.0.1:{port}/0",
            "EMAIL_HOST": "127.0.0.1",
            "EMAIL_PORT": str(sink.server_address[1]),
            "MEDIA_ROOT": str(folder / "media"),
            "HISTORY_DIGEST_DIR": str(folder / "digests"),
            "TMPDIR": str(folder),
        },
    )
    owner = ("env", f"DATABASE_URL={database.owner.url()}", str(programs / "python"))
    services.run([*owner, "-m", "config.prepare", "--web-role=reefer_web", "--purge-role=reefer_purge", "--quiet"])
    founding = ("--name=Check", "--usdot=1", "--username=adele", "--person=Adele Roth")
    services.run(["python", "manage.py", "found_carrier", *founding], said="a-password-of-this-check\n")
    services.run(["python", "-m", "tests.production.rows", "paper", ADDRESS])
    with (
        psycopg.connect(database.owner.url(), autocommit=True) as connection,
        services.running("redis", "--port", str(port), "--bind", "127.0.0.1", "--dir", str(folder)) as redis,
        services.running("worker") as worker,
    ):
        # A beat says everything once when it starts; it is started anew for each step instead of waiting its minutes.
        with services.running("beat") as beat:
            _until("the reminder is owed", _there(connection, "fleet_notice"), redis, worker, beat)
        services.run(["python", "-m", "tests.production.rows", "morning"])
        time.sleep(1)
        with services.running("beat") as beat:
            _until("the morning's digest is owed", _there(connection, "fleet_delivery"), worker, beat)
        with services.running("beat") as beat:
            _until("a letter came", lambda: bool(sink.messages), worker, beat)
        _until("it is marked as sent", _there(connection, "fleet_delivery WHERE state = 'sent'"), worker)
    (letter,) = sink.messages
    told = str(letter.get_payload(0))
    if letter["To"] != ADDRESS or "insurance" not in told.lower():
        raise CheckFailedError(f"the letter is not the reminder:\n{letter}")


def _there(connection: "psycopg.Connection[Any]", rows: str) -> Callable[[], bool]:
    return lambda: connection.execute(f"SELECT FROM {rows}".encode()).fetchone() is not None


def _give_up(*_: object) -> NoReturn:
    raise CheckFailedError("it was told to stop, or took too long")


def main() -> int:
    """Run the check; 0 when the reminder came."""
    begun = time.monotonic()
    signal.signal(signal.SIGTERM, _give_up)
    signal.signal(signal.SIGALRM, _give_up)
    signal.alarm(PATIENCE_S)
    try:
        with (
            tempfile.TemporaryDirectory() as folder,
            LocalPostgres(throwaway(durable=False)) as database,
            MailSink() as sink,
        ):
            threading.Thread(target=sink.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True).start()
            _check(Path(folder), database, sink)
            sink.shutdown()
    except CheckFailedError as why:
        sys.stderr.write(f"The production set does not do the work: {why}\n")
        return 1
    sys.stdout.write(f"The production set brings a reminder ({time.monotonic() - begun:.0f} s).\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
