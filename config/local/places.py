"""Where the local database keeps its files, and as whom it runs.

An ordinary user's files stand in the checkout. PostgreSQL refuses to run as root, and a checkout below
a closed home cannot be read by anyone else, so for root everything stands in a folder of its own.
"""

import hashlib
import os
import pwd
import secrets
import stat
import tempfile
from dataclasses import dataclass
from pathlib import Path

from config.local.errors import LocalPostgresError

CHECKOUT = Path(__file__).resolve().parent.parent.parent
ROOT_HOME = Path("/var/lib/reefer-clearance")
MEMORY = Path("/dev/shm")  # noqa: S108 - only a folder in it that belongs to this user is used
"""Where Linux keeps files in memory: making a database's thousand files there takes a tenth of the time."""
MEMORY_NEEDED = 2 << 30
"""Bytes that must be free there before a cluster is put into it; the suite's takes less than half."""
SERVER_USER = "nobody"
SOCKET_PATH_LIMIT = 100
"""Bytes; the kernel allows 104 to 108 for `<folder>/.s.PGSQL.5432`, depending on the system."""


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
        raise LocalPostgresError(message) from why
    return Runner(user.pw_uid, user.pw_gid)


@dataclass(frozen=True)
class Place:
    """The folder of one cluster. Only `cluster` belongs to the server's user; the rest to who started it."""

    folder: Path

    @property
    def cluster(self) -> Path:
        """The parent of the data, closed to everyone but the server."""
        return self.folder / "cluster"

    @property
    def data(self) -> Path:
        """What PostgreSQL calls PGDATA; complete whenever it exists."""
        return self.cluster / "data"

    @property
    def unfinished(self) -> Path:
        """Data while it is being made; renamed when it is complete."""
        return self.cluster / "data.new"

    @property
    def log(self) -> Path:
        """What the server says."""
        return self.folder / "postgres.log"

    @property
    def socket_note(self) -> Path:
        """Says where the socket's folder is, or was when nobody could remove it."""
        return self.folder / "socket"

    @property
    def supervisor_lock(self) -> Path:
        """Held by the supervisor alone, for its whole life."""
        return self.folder / "supervisor.lock"

    @property
    def server_lock(self) -> Path:
        """Held by every process of the server and by nothing else."""
        return self.folder / "server.lock"

    def make(self, run_as: Runner) -> None:
        """Make the folders; raise LocalPostgresError with the folder's name when that is refused."""
        try:
            make_folders(self.folder, 0o700 if run_as.uid is None else 0o711)
            if not self.cluster.is_dir():
                make_folders(self.cluster, 0o700)
                run_as.own(self.cluster)
        except OSError as why:
            message = f"cannot keep the local database in {self.folder}: {why.strerror}"
            raise LocalPostgresError(message) from why


def make_folders(folder: Path, mode: int) -> None:
    """Make the folder and every missing one above it with that mode, whatever the umask; touch no other."""
    if folder.is_dir():
        return
    make_folders(folder.parent, mode)
    folder.mkdir(exist_ok=True)
    folder.chmod(mode)


def throwaway(*, durable: bool) -> Path:
    """Name a folder for a cluster that goes when it stops; it carries the process id of who wants it.

    In memory, where there is room, when it need not survive a power cut.
    """
    parent = home() if durable else in_memory() or home()
    return parent / "throwaway" / f"{os.getpid()}-{secrets.token_hex(4)}"


def home() -> Path:
    """Return the folder for this checkout's clusters."""
    if os.geteuid() != 0:
        return CHECKOUT / ".state" / "postgres"
    return ROOT_HOME / _of_checkout()


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
    return own / _of_checkout() if stat.S_ISDIR(found.st_mode) and found.st_uid == os.geteuid() else None


def _of_checkout() -> str:
    return hashlib.sha256(os.fsencode(CHECKOUT)).hexdigest()[:12]


def socket_folder(run_as: Runner) -> Path:
    """Make a short, private folder for the server's socket: long paths are refused by the kernel."""
    parent = "/tmp" if os.access("/tmp", os.W_OK) else tempfile.gettempdir()  # noqa: S108 - made private by mkdtemp
    folder = Path(tempfile.mkdtemp(prefix="reefer-", dir=parent))
    if len(os.fsencode(folder / ".s.PGSQL.5432")) > SOCKET_PATH_LIMIT:
        folder.rmdir()
        message = f"{parent} is too long a path for a socket; set TMPDIR to a shorter one"
        raise LocalPostgresError(message)
    run_as.own(folder)
    return folder
