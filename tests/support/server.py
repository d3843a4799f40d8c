"""A real web server process over a committing database, for tests that speak HTTP and nothing else."""

import os
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

from config.database_url import Database
from config.env import CHECKOUT

START_WAIT_S = 20.0


@dataclass(frozen=True)
class ServerProcess:
    """A running server: its address without a slash at the end, its process, and what it writes."""

    url: str
    process: "subprocess.Popen[bytes]"
    log: Path


@contextmanager
def serving(
    database: Database, folder: Path, *, workers: int = 2, checkout: Path = CHECKOUT
) -> Iterator[ServerProcess]:
    """Run gunicorn over the database until the block ends; files and log go into the folder."""
    (folder / "server.log").unlink(missing_ok=True)
    with socket.create_server(("127.0.0.1", 0)) as door:
        running = launch(database, folder, door, workers=workers, checkout=checkout)
        try:
            wait_until_it_answers(running)
            yield running
        finally:
            running.process.terminate()
            running.process.wait(START_WAIT_S)


def launch(
    database: Database, folder: Path, door: socket.socket, *, workers: int = 2, checkout: Path = CHECKOUT
) -> ServerProcess:
    """Start gunicorn behind an open door, which stays whoever opened it: what comes meanwhile waits in it."""
    log = folder / "server.log"
    with log.open("ab") as output:
        process = subprocess.Popen(
            [
                *(sys.executable, "-m", "gunicorn", "--config=python:config.gunicorn"),
                *(f"--bind=fd://{door.fileno()}", f"--workers={workers}", "config.wsgi"),
            ],
            cwd=checkout,
            env={
                **os.environ,
                "DJANGO_SETTINGS_MODULE": "config.settings.test",
                "DATABASE_URL": database.url(),
                "MEDIA_ROOT": str(folder / "media"),
                "HISTORY_DIGEST_DIR": str(folder / "digests"),
            },
            pass_fds=[door.fileno()],
            stdin=subprocess.DEVNULL,
            stdout=output,
            stderr=output,
        )
    return ServerProcess(url=f"http://127.0.0.1:{door.getsockname()[1]}", process=process, log=log)


def wait_until_it_answers(running: ServerProcess) -> None:
    """Any answer will do: connections queue in the open door until a worker takes them."""
    until = time.monotonic() + START_WAIT_S
    while time.monotonic() < until and running.process.poll() is None:
        try:
            with urllib.request.urlopen(f"{running.url}/livez", timeout=START_WAIT_S):
                return
        except urllib.error.HTTPError as answer:
            answer.close()
            return
        except OSError:
            time.sleep(0.05)
    pytest.fail(f"the server did not answer:\n{running.log.read_text(errors='replace')}")
