"""Starting a process that cannot outlive the one that started it."""

import ctypes
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import IO

from config.local.places import Runner

PR_SET_PDEATHSIG = 1
_LIBC = ctypes.CDLL(None, use_errno=True) if sys.platform == "linux" else None


def die_with_parent(parent: int, number: signal.Signals) -> None:
    """Ask the kernel for a signal when the parent dies; leave at once if it died before that was asked.

    Linux only: elsewhere this does nothing and a pipe does the work. Must run after a change of user,
    which would forget it. The kernel means the parent's *thread*, so start children from the main one.
    """
    if _LIBC is None:
        return
    if _LIBC.prctl(PR_SET_PDEATHSIG, number, 0, 0, 0) != 0:
        raise OSError(ctypes.get_errno(), "prctl(PR_SET_PDEATHSIG)")
    if os.getppid() != parent:
        os._exit(1)


def require_main_thread() -> None:
    """Raise RuntimeError in any other thread: the kernel would take that thread's end for its process's."""
    if threading.current_thread() is not threading.main_thread():
        raise RuntimeError("must be started from the main thread, whose death the kernel reports")


def clean_environment() -> dict[str, str]:
    """Return what PostgreSQL's programs get: nothing of the caller's locale, PG* variables or time zone."""
    return {"PATH": "/usr/bin:/bin", "LC_ALL": "C.UTF-8", "TZ": "UTC"}


def start(
    command: Sequence[str],
    *,
    run_as: Runner,
    folder: Path,
    output: IO[bytes],
    keep_open: Sequence[int] = (),
    bound: bool = True,
) -> subprocess.Popen[bytes]:
    """Start a program of PostgreSQL in its own session, as the server's user.

    Bound, it is interrupted when this process dies, where the kernel can do that.
    """
    require_main_thread()
    parent = os.getpid()
    bind: Callable[[], None] | None = (lambda: die_with_parent(parent, signal.SIGINT)) if bound else None
    return subprocess.Popen(
        command,
        cwd=folder,
        env=clean_environment(),
        stdin=subprocess.DEVNULL,
        stdout=output,
        stderr=output,
        start_new_session=True,
        umask=0o077,
        user=run_as.uid,
        group=run_as.gid,
        extra_groups=None if run_as.uid is None else [],
        pass_fds=keep_open,
        preexec_fn=bind,  # noqa: PLW1509 - the supervisor has one thread
    )
