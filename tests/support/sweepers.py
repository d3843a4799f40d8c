"""Processes that do the jobs over a test's own database: a real Celery worker, or `run_jobs` without a broker."""

import os
import signal
import subprocess
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from config.database_url import Database
from config.env import CHECKOUT
from config.local.roles import PURGE
from tests.support.mail_sink import MailSink

WAIT_S = 20.0
NO_BROKER = "redis://127.0.0.1:1/0"

BEAT = ("-m", "celery", "--app=config.celery", "beat", "--pidfile=")
WORKER = (
    *("-m", "celery", "--app=config.celery", "worker", "--concurrency=1", "--loglevel=INFO"),
    *("--without-gossip", "--without-mingle"),  # as in docker-compose.yml
)


class Sweeper:
    """One process group; `log` is all it said."""

    def __init__(
        self, command: Sequence[str], database: Database, sink: MailSink, folder: Path, redis_url: str
    ) -> None:
        self._log = folder / "sweeper.log"
        with self._log.open("ab") as output:
            self.process = subprocess.Popen(
                [sys.executable, *command],
                cwd=CHECKOUT,
                env={
                    **os.environ,
                    "DJANGO_SETTINGS_MODULE": "config.settings.base",
                    "DATABASE_URL": database.url(),
                    "PURGE_DATABASE_URL": database.with_user(PURGE, os.environ.get("PURGE_ROLE_PASSWORD", "")).url(),
                    "REDIS_URL": redis_url,
                    "LOCAL_DEMO": "1",
                    "LOG_FORMAT": "json",
                    "EMAIL_HOST": "127.0.0.1",
                    "EMAIL_PORT": str(sink.port),
                    "MEDIA_ROOT": str(folder / "media"),
                    "HISTORY_DIGEST_DIR": str(folder / "digests"),
                    "WEBHOOKS_TO_PRIVATE": "1",
                },
                stdin=subprocess.DEVNULL,
                stdout=output,
                stderr=output,
                start_new_session=True,
            )

    @property
    def log(self) -> str:
        return self._log.read_text(errors="replace")

    def terminate(self) -> int:
        """Ask it to stop; the code it left with."""
        self.process.terminate()
        return self.process.wait(WAIT_S)

    def kill(self) -> None:
        """End the whole group at once, as a lost machine would."""
        os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(WAIT_S)


@contextmanager
def sweeping(
    command: Sequence[str], database: Database, sink: MailSink, folder: Path, redis_url: str = NO_BROKER
) -> Iterator[Sweeper]:
    """Run it until the block ends, whatever happens in it."""
    sweeper = Sweeper(command, database, sink, folder, redis_url)
    try:
        yield sweeper
    finally:
        if sweeper.process.poll() is None:
            sweeper.kill()
