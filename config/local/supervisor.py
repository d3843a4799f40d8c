"""The process between whoever needs the local database and the server: starts it, restarts it, ends with it.

Ends when told by a signal, when its standard input closes, or when whoever started it dies; the server
ends when the supervisor does. Says on standard output, in one line of JSON, where the server accepts
connections or why it cannot.
"""

import argparse
import json
import os
import select
import shutil
import signal
import subprocess
import sys
import threading
from pathlib import Path

from config.local import binaries, leftovers, locks, places, watchdog
from config.local.child import die_with_parent
from config.local.cluster import Cluster
from config.local.errors import LocalPostgresError

RETRY_PAUSE_S = 0.5


class Supervisor:
    """Holds one place and its server from the first start to the end."""

    def __init__(self, place: places.Place, options: argparse.Namespace) -> None:
        """Listen for signals; nothing is started yet."""
        self.place = place
        self.options = options
        self.with_watchdog = options.watchdog or sys.platform != "linux"
        self.ending = threading.Event()
        self.guard: subprocess.Popen[bytes] | None = None
        self.wake, wake_write = os.pipe()
        os.set_blocking(wake_write, False)
        signal.set_wakeup_fd(wake_write)
        signal.signal(signal.SIGCHLD, lambda _number, _frame: None)
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, lambda _number, _frame: self.ending.set())

    def run(self) -> None:
        """Hold the place, the socket's folder and the server until the end, then give all of them back."""
        run_as = places.runner()
        self.place.make(run_as)
        self._be_the_only_one()
        try:
            leftovers.clear_socket(self.place)
            self.place.log.write_bytes(b"")
            socket = places.socket_folder(run_as)
            self.place.socket_note.write_bytes(os.fsencode(socket))
            try:
                programs = self.options.programs or binaries.find(run_as)
                durable, bound = not self.options.fast, not self.with_watchdog
                self._hold(Cluster(self.place, programs, run_as, socket, durable=durable, bound=bound))
            finally:
                shutil.rmtree(socket)
        finally:
            if self.options.throwaway:
                shutil.rmtree(self.place.folder)
                leftovers.clear_throwaways(self.place.folder.parent)

    def _hold(self, cluster: Cluster) -> None:
        try:
            cluster.make()
            cluster.start_until_accepting(unless=self.ending.is_set)
            say({"socket": str(cluster.socket)})
            self._watch(cluster)
        finally:
            cluster.stop()
            self._dismiss_guard()

    def _watch(self, cluster: Cluster) -> None:
        """Wait for the end of standard input or a signal; start the server again whenever it ends before that."""
        self._set_guard(cluster)
        while not self.ending.is_set():
            pause = None if cluster.alive() else RETRY_PAUSE_S
            readable, _, _ = select.select([sys.stdin.fileno(), self.wake], [], [], pause)
            if sys.stdin.fileno() in readable and not os.read(sys.stdin.fileno(), 1024):
                return
            if self.wake in readable:
                os.read(self.wake, 1024)
            if not cluster.alive() and not self.ending.is_set():
                self._dismiss_guard()
                try:
                    cluster.start_until_accepting(unless=self.ending.is_set)
                except LocalPostgresError as why:
                    # Whoever started us keeps us for what is still in the files: a full disk may be emptied.
                    sys.stderr.write(f"{why}\n")
                else:
                    self._set_guard(cluster)

    def _be_the_only_one(self) -> None:
        """Take the place for this process's life; no child inherits this lock."""
        if locks.take(self.place.supervisor_lock) is None:
            message = f"the local database in {self.place.folder} is already running; stop it first or use it"
            raise LocalPostgresError(message)

    def _set_guard(self, cluster: Cluster) -> None:
        if self.with_watchdog and cluster.server is not None:
            self.guard = watchdog.start(cluster.server.pid)

    def _dismiss_guard(self) -> None:
        if self.guard is not None:
            watchdog.dismiss(self.guard)
            self.guard = None


def say(message: dict[str, str]) -> None:
    """Tell whoever started this process."""
    sys.stdout.write(json.dumps(message) + "\n")
    sys.stdout.flush()


def main() -> int:
    """Run one cluster until told to end; return the exit status."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--folder", type=Path, required=True, help="what the cluster is kept in")
    options.add_argument("--parent", type=int, required=True, help="process id whose death ends this process")
    options.add_argument("--fast", action="store_true", help="survive no power cut")
    options.add_argument("--throwaway", action="store_true", help="remove the folder at the end")
    options.add_argument("--watchdog", action="store_true", help="end the server by a pipe even where the kernel could")
    options.add_argument("--programs", type=Path, help="other programs than the wheel's")
    given = options.parse_args()
    supervisor = Supervisor(places.Place(given.folder), given)
    die_with_parent(given.parent, signal.SIGTERM)
    try:
        supervisor.run()
    except (LocalPostgresError, OSError) as why:
        say({"error": str(why)})
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main())
