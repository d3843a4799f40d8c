"""Where the local database keeps its files, and as whom it runs.

An ordinary user's files stand in the checkout. PostgreSQL refuses to run as root, and a checkout below
a closed home cannot be read by anyone else, so for root everything stands in a folder of its own.
"""

import fcntl
import hashlib
import os
import pwd
import secrets
import stat
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from config.local.errors import LocalServiceError

CHECKOUT = Path(__file__).resolve().parent.parent.parent
ROOT_HOME = Path("/var/lib/reefer-clearance")
MEMORY = Path("/dev/shm")  # noqa: S108 - only a folder in it that belongs to this user is used
"""Where Linux keeps files in memory: making a database's thousand files there takes a tenth of the time."""
MEMORY_NEEDED = 2 << 30
"""Bytes that must be free there before a cluster is put into it; the suite's takes less than half."""
SERVER_USER = "nobody"


@dataclass(frozen=True)
class Runner:
    """The user that the server runs as; `uid` is None when that is whoever started it."""

    uid: int | None
    gid: int | None

    def own(self, path: Path) -> None:
        """Hand a folder that was just made here to the user."""
        if self.uid is not None and self.gid is not None:
            os.chown(path, self.uid, self.gid)


def runner() -> Runner:
    """Return as whom the server runs: never as root."""
    if os.geteuid() != 0:
        return Runner(None, None)
    try:
        user = pwd.getpwnam(SERVER_USER)
    except KeyError as why:
        message = f"started as root, but this machine has no user {SERVER_USER!r} to run PostgreSQL as"
        raise LocalServiceError(message) from why
    return Runner(user.pw_uid, user.pw_gid)


def make_folders(folder: Path, mode: int) -> None:
    """Make the folder and every missing one above it with that mode, whatever the umask; touch no other."""
    if folder.is_dir():
        return
    make_folders(folder.parent, mode)
    folder.mkdir(exist_ok=True)
    folder.chmod(mode)


def home() -> Path:
    """Return the folder for this checkout's clusters."""
    return CHECKOUT / ".state" / "postgres" if os.geteuid() != 0 else ROOT_HOME / _hash(CHECKOUT)


def throwaway(*, durable: bool) -> Path:
    """Name a folder for a cluster that goes when it stops; it carries the process id of who wants it.

    In memory, where there is room, when it need not survive a power cut.
    """
    parent = home() if durable else in_memory() or home()
    return parent / "throwaway" / f"{os.getpid()}-{secrets.token_hex(4)}"


def in_memory(memory: Path = MEMORY) -> Path | None:
    """Return this user's folder for this checkout in memory; None without enough room or with a stranger in it."""
    own = memory / f"reefer-clearance-{os.geteuid()}"
    try:
        room = os.statvfs(memory)
        if room.f_bavail * room.f_frsize < MEMORY_NEEDED:
            return None
        make_folders(own, 0o711)
        found = own.lstat()
    except OSError:
        return None
    return own / _hash(CHECKOUT) if stat.S_ISDIR(found.st_mode) and found.st_uid == os.geteuid() else None


def socket_of(folder: Path) -> Path:
    """Name the short folder of a cluster's socket: the kernel refuses one below a long path."""
    parent = "/tmp" if os.access("/tmp", os.W_OK) else tempfile.gettempdir()  # noqa: S108 - made private below
    return Path(parent, f"reefer-{os.geteuid()}-{_hash(folder)}")


def make_private(folder: Path, run_as: Runner) -> None:
    """Make a folder that only the server's user enters; refuse one that is another's."""
    owner = os.geteuid() if run_as.uid is None else run_as.uid
    if not folder.is_dir():
        make_folders(folder, 0o700)
        run_as.own(folder)
    found = folder.lstat()
    if not stat.S_ISDIR(found.st_mode) or found.st_uid != owner:
        raise LocalServiceError(f"{folder} belongs to somebody else")


def lock(path: Path, *, wait_s: float = 0.0) -> int | None:
    """Return a descriptor that holds the file's lock until it is closed; None when others hold it all that time.

    A child that inherits the descriptor holds the lock as well; the kernel releases it when the last one ends.
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
            time.sleep(0.02)
        else:
            return descriptor


def _hash(folder: Path) -> str:
    return hashlib.sha256(os.fsencode(folder)).hexdigest()[:12]
