"""Starting a process that does not outlive the one that started it."""

import ctypes
import os
import signal
import sys
import threading
from collections.abc import Callable

PR_SET_PDEATHSIG = 1
_LIBC = ctypes.CDLL(None, use_errno=True) if sys.platform == "linux" else None


def bound_to_parent(number: signal.Signals) -> Callable[[], None]:
    """Return what a child runs before its program, so that the kernel sends it this signal when its parent dies.

    Linux only: elsewhere a parent that is killed leaves its child. The kernel means the parent's *thread*, so this
    raises RuntimeError in any but the main one.
    """
    if threading.current_thread() is not threading.main_thread():
        raise RuntimeError("must be started from the main thread, whose death the kernel reports")
    parent = os.getpid()

    def bind() -> None:
        if _LIBC is not None and _LIBC.prctl(PR_SET_PDEATHSIG, number, 0, 0, 0) != 0:
            raise OSError(ctypes.get_errno(), "prctl(PR_SET_PDEATHSIG)")
        if os.getppid() != parent:
            os._exit(1)

    return bind
