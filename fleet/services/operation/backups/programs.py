"""Running PostgreSQL's own programs on the database of the settings, in exactly the server's version."""

import re
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.conf import settings
from django.db import connection
from psycopg.conninfo import make_conninfo

from fleet.services.operation.backups.refusal import BackupRefusedError

DEBIAN = Path("/usr/lib/postgresql")
VERSION = re.compile(r"\(PostgreSQL\) (\d+)")
OURS = ("application_name", "connect_timeout", "options", "prepare_threshold", "server_side_binding")
"""What the settings say of a connection of the service, and not where the database is."""


def server_major() -> int:
    """The major version of the server."""
    with connection.cursor() as cursor:
        cursor.execute("SHOW server_version_num")
        ((version,),) = cursor.fetchall()
    return int(version) // 10_000


def find_program(name: str) -> Path:
    """The program of the server's version; BackupRefusedError where there is none.

    Looked for in the folder that the settings name, else where Debian keeps it, else on the PATH.
    """
    wanted, folder = server_major(), settings.POSTGRESQL_PROGRAMS
    on_path = shutil.which(name)
    places = [DEBIAN / str(wanted) / "bin" / name, *([Path(on_path)] if on_path else [])]
    if folder is not None:
        places = [folder / name]
    found = {place: _version(place) for place in places if place.exists()}
    for place, version in found.items():
        if version == wanted:
            return place
    seen = ", ".join(f"{place} is of {version}" for place, version in found.items()) or "there is none"
    raise BackupRefusedError(
        f"{name} of PostgreSQL {wanted} is needed, the server's version; {seen}. On Debian: "
        f"apt-get install postgresql-client-{wanted}; anywhere else name its folder in POSTGRESQL_PROGRAMS"
    )


def run_program(program: Path, *words: str) -> None:
    """Run a program on the database; BackupRefusedError with its last words when it fails."""
    with _address() as address:
        command = [str(program), "--no-password", f"--dbname={address}", *words]
        done = subprocess.run(
            command, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, check=False
        )
    if done.returncode != 0:
        said = done.stderr.decode(errors="replace").strip().splitlines()[-3:]
        raise BackupRefusedError(f"{program.name} failed: {' '.join(said) or f'status {done.returncode}'}")


@contextmanager
def _address() -> Iterator[str]:
    """The database as libpq is told of it; the password stands in a file of this user alone, on no command line."""
    database = connection.settings_dict
    said = {
        "dbname": database["NAME"],
        "user": database["USER"],
        "host": database["HOST"],
        "port": database["PORT"],
        **{name: value for name, value in database["OPTIONS"].items() if name not in OURS},
    }
    with tempfile.NamedTemporaryFile("w", encoding="utf-8", prefix="passwords-") as file:
        password = re.sub(r"([\\:])", r"\\\1", database["PASSWORD"])
        file.write(f"*:*:*:*:{password}\n")
        file.flush()
        yield make_conninfo("", **{name: value for name, value in said.items() if value}, passfile=file.name)


def _version(program: Path) -> int:
    said = subprocess.run([str(program), "--version"], capture_output=True, text=True, check=False).stdout
    found = VERSION.search(said)
    return int(found[1]) if found else 0
