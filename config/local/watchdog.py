"""Ends the server when the supervisor dies, on systems whose kernel does not: a process waiting on a pipe.

Linux needs none (see `child.die_with_parent`).
"""

import os
import signal
import subprocess
import sys
from pathlib import Path

DISMISSED = b"x"


def start(server: int) -> subprocess.Popen[bytes]:
    """Start a watchdog over the server's process id; it acts when this process's end of the pipe closes."""
    return subprocess.Popen(
        [sys.executable, "-m", "config.local.watchdog", str(server)],
        stdin=subprocess.PIPE,
        cwd=Path(__file__).resolve().parent.parent.parent,
        start_new_session=True,
    )


def dismiss(guard: subprocess.Popen[bytes]) -> None:
    """Tell the watchdog that the server was stopped, so that it never signals a stranger with its number."""
    guard.communicate(DISMISSED)


def main() -> None:
    """Wait for the pipe to close; without a dismissal before that, end the server in an orderly way."""
    server = int(sys.argv[1])
    if os.read(sys.stdin.fileno(), 1) != DISMISSED:
        os.kill(server, signal.SIGINT)


if __name__ == "__main__":
    main()
