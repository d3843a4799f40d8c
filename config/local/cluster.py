"""One PostgreSQL cluster: made once, started, found accepting, stopped. Knows nothing of roles or tables."""

import os
import shutil
import signal
import subprocess
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryFile

from config.local import child, locks
from config.local.errors import LocalPostgresError
from config.local.places import Place, Runner

SUPERUSER = "postgres"
PORT = "5432"
"""Only part of the socket's name; said everywhere, so that no PGPORT of the caller comes between."""
DURABLE = ("fsync=on",)
FAST = ("fsync=off", "synchronous_commit=off", "full_page_writes=off", "max_wal_size=128MB", "min_wal_size=32MB")
"""For tests that never pull the plug: a power cut may lose everything. Little is kept, since it may stand in memory."""
LOCK_WAIT_S = 30.0
STOP_WAIT_S = 20.0
START_WAIT_S = 60.0
START_PAUSES_S = (0.0, 0.1, 0.2, 0.4, 0.8)
"""Before each start: whatever passes by itself has passed after these."""
LOOK_EVERY_S = 0.02


class Cluster:
    """The cluster of one place; `socket` is the folder where it listens, and nothing else listens."""

    def __init__(
        self, place: Place, programs: Path, run_as: Runner, socket: Path, *, durable: bool, bound: bool
    ) -> None:
        """Remember where everything is; nothing is started yet. Bound means ended by the kernel with its starter."""
        self.place = place
        self.programs = programs
        self.run_as = run_as
        self.socket = socket
        self.durable = durable
        self.bound = bound
        self.server: subprocess.Popen[bytes] | None = None

    def make(self) -> None:
        """Run initdb unless that is done; half-made data of an earlier failure is thrown away first."""
        if self.place.data.is_dir():
            return
        shutil.rmtree(self.place.unfinished, ignore_errors=True)
        command = [
            str(self.programs / "initdb"),
            f"--pgdata={self.place.unfinished}",
            f"--username={SUPERUSER}",
            "--auth=trust",  # only this user and root reach the socket's folder
            "--encoding=UTF8",
            "--locale=C.UTF-8",
        ]
        if not self.durable:
            command.append("--no-sync")
        with TemporaryFile() as output:
            code = child.start(command, run_as=self.run_as, folder=self.place.cluster, output=output).wait()
            output.seek(0)
            said = output.read().decode(errors="replace").strip()
        if code != 0:
            shutil.rmtree(self.place.unfinished, ignore_errors=True)
            message = f"initdb could not make a database in {self.place.data}:\n{_tail(said)}"
            raise LocalPostgresError(message)
        self.place.unfinished.rename(self.place.data)

    def start(self) -> None:
        """Start the server once nothing of an earlier one lives; it may still refuse connections."""
        lock = locks.take(self.place.server_lock, wait_s=LOCK_WAIT_S)
        if lock is None:
            raise LocalPostgresError(f"an earlier server in {self.place.folder} does not end")
        try:
            # The lock is held by every process of a cluster and by nothing else, so whoever the file
            # names is dead, a zombie that no one reaps, or a stranger who got the number since.
            (self.place.data / "postmaster.pid").unlink(missing_ok=True)
            options = (
                "listen_addresses=",
                f"port={PORT}",
                f"unix_socket_directories={self.socket}",
                "unix_socket_permissions=0700",
                "timezone=UTC",
                "log_timezone=UTC",
                "max_connections=100",
                *(DURABLE if self.durable else FAST),
            )
            command = [str(self.programs / "postgres"), "-D", str(self.place.data)]
            command += [word for option in options for word in ("-c", option)]
            with self.place.log.open("ab") as log:
                self.server = child.start(
                    command,
                    run_as=self.run_as,
                    folder=self.place.cluster,
                    output=log,
                    keep_open=[lock],
                    bound=self.bound,
                )
        finally:
            os.close(lock)

    def accepts(self) -> bool:
        """Say whether the server takes connections now."""
        question = [str(self.programs / "pg_isready"), "-q", "-h", str(self.socket), "-p", PORT, "-U", SUPERUSER]
        return subprocess.run(question, env=child.clean_environment(), check=False).returncode == 0

    def alive(self) -> bool:
        """Say whether the server's process runs; notices its end without leaving a zombie."""
        return self.server is not None and self.server.poll() is None

    def start_until_accepting(self, unless: Callable[[], bool]) -> None:
        """Start, and start again when the server ends at once, until it accepts; raise when it will not.

        Returns early when `unless` says that nobody wants it any more.
        """
        until = time.monotonic() + START_WAIT_S
        for pause in START_PAUSES_S:
            time.sleep(pause)
            self.start()
            while self.alive() and time.monotonic() < until:
                if unless() or self.accepts():
                    return
                time.sleep(LOOK_EVERY_S)
        self.stop()
        said = self.place.log.read_text(encoding="utf-8", errors="replace")
        raise LocalPostgresError(f"the local database does not accept connections:\n{_tail(said)}")

    def stop(self) -> None:
        """Stop the server: sessions are cut and data is written; after a while harder, at last by force."""
        if self.server is None:
            return
        for number in (signal.SIGINT, signal.SIGQUIT, signal.SIGKILL):
            self.server.send_signal(number)
            try:
                self.server.wait(STOP_WAIT_S)
                break
            except subprocess.TimeoutExpired:
                continue
        self.server = None


def _tail(text: str) -> str:
    return "\n".join(f"  {line}" for line in text.splitlines()[-12:])
