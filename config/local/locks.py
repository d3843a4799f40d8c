"""Locks between processes: a file that the kernel releases when the last process holding it ends."""

import fcntl
import os
import time
from pathlib import Path

PAUSE_S = 0.02


def take(path: Path, *, wait_s: float = 0.0) -> int | None:
    """Return a descriptor that holds the file's lock until it is closed; None when others hold it all that time.

    A child that inherits the descriptor holds the lock as well.
    """
    descriptor = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC | os.O_NOFOLLOW, 0o600)
    until = time.monotonic() + wait_s
    while True:
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            if time.monotonic() >= until:
                os.close(descriptor)
                return None
            time.sleep(PAUSE_S)
        else:
            return descriptor
