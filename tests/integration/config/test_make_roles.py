"""The script that makes the production database's roles, run on a server whose volume is older than a role."""

import subprocess
from pathlib import Path

import pytest

from config.local.binaries import find
from config.local.places import CHECKOUT, runner
from config.local.postgres import PORT
from tests.support.local_postgres import Starter

pytestmark = pytest.mark.embedded

ROLES = """
SELECT rolname, rolpassword IS NOT NULL, rolcanlogin, rolsuper FROM pg_authid WHERE rolname LIKE 'reefer%' ORDER BY 1
"""
OWNER_OF = "SELECT pg_get_userbyid(datdba) FROM pg_database WHERE datname = 'reefer'"


def make_roles(server: Starter) -> None:
    """As `exec` runs it: the image's entrypoint alone knows POSTGRES_USER."""
    passwords = {"OWNER_PASSWORD": "b", "WEB_PASSWORD": "it's", "PURGE_PASSWORD": "d"}
    reach = {"PGHOST": server.socket, "PGPORT": PORT}
    environment = {"PATH": f"{find(runner())}:/usr/bin:/bin", **reach, **passwords}
    script = CHECKOUT / "config" / "deploy" / "make-roles.sh"
    subprocess.run(["/bin/sh", str(script)], env=environment, check=True, timeout=30)


def test_volume_older_than_a_role__run_again_it_adds_that_one_and_keeps_the_rest(open_folder: Path) -> None:
    server = Starter(open_folder / "place", "throwaway")
    make_roles(server)
    with server.connect() as connection:
        connection.execute("DROP ROLE reefer_purge")
        connection.execute("ALTER ROLE reefer_web PASSWORD NULL")
    make_roles(server)
    make_roles(server)
    with server.connect() as connection:
        assert connection.execute(ROLES).fetchall() == [
            ("reefer_owner", True, True, False),
            ("reefer_purge", True, True, False),
            ("reefer_web", True, True, False),
        ]
        assert connection.execute(OWNER_OF).fetchall() == [("reefer_owner",)]
    server.end()
