"""A long-running part of the demo in a process of its own: the web process, the sweeps."""

import contextlib
import os
import signal
import subprocess
import sys
from collections.abc import Mapping, Sequence
from types import TracebackType
from typing import Self

from config import env
from config.local import watchdog
from config.local.child import die_with_parent
from config.local.places import CHECKOUT

STOP_WAIT_S = 40.0
"""Above gunicorn's own grace of 25 s for requests under way."""


class Service:
    """A running part; a context manager that stops it.

    It runs in its own session, so that an interrupt in the terminal reaches the demo alone, which stops
    its parts in order; it ends by itself when the demo is killed.
    """

    def __init__(
        self, name: str, words: Sequence[str], variables: Mapping[str, str], *, keep_open: Sequence[int] = ()
    ) -> None:
        """Start `python <words>` in the checkout with the variables added."""
        self.name = name
        parent = os.getpid()
        self.process = subprocess.Popen(
            [sys.executable, *words],
            cwd=CHECKOUT,
            env=env.for_child(variables),
            stdin=subprocess.DEVNULL,
            start_new_session=True,
            pass_fds=keep_open,
            preexec_fn=lambda: die_with_parent(parent, signal.SIGTERM),  # noqa: PLW1509 - one thread
        )
        self.guard = watchdog.start(self.process.pid) if sys.platform != "linux" else None

    def ended(self) -> bool:
        """Say whether it ended by itself."""
        return self.process.poll() is not None

    def stop(self) -> None:
        """Ask it to end, wait, and end it by force after that."""
        if self.guard is not None:
            watchdog.dismiss(self.guard)
        self.process.terminate()
        try:
            self.process.wait(STOP_WAIT_S)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        with contextlib.suppress(ProcessLookupError):  # children that it left, if it was killed
            os.killpg(self.process.pid, signal.SIGTERM)

    def __enter__(self) -> Self:
        """Return the running part."""
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        """Stop it."""
        self.stop()
