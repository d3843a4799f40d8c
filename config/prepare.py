"""`python -m config.prepare`: what the owner's role does before a new version answers, in one process.

Migrates, then gives the other roles exactly their rights; safe to run again. While the version before still serves, a
step may find its table in use: it waits no longer than LOCK_TIMEOUT_MS, so that nobody waits long behind it, and is
tried again.
"""

import argparse
import gc
import sys
import time

import django
from django.core.management import CommandError, call_command
from django.db import OperationalError
from psycopg.errors import DeadlockDetected, LockNotAvailable

from config.env import choose_settings, or_exit

TRIES = 30
PAUSE_S = 2.0
BUSY = (
    f"A table was in use at each of {TRIES} tries. What is done stays done and what serves goes on. "
    "Run it again at a quieter time, or stop the web and worker processes first."
)


def main() -> int:
    """Prepare the database named in the environment; return the exit status."""
    options = argparse.ArgumentParser(prog="python -m config.prepare", description=__doc__)
    options.add_argument("--web-role", required=True, help="an existing role that owns nothing")
    options.add_argument("--purge-role", help="an existing role that owns nothing; without it nothing is ever purged")
    options.add_argument("--quiet", action="store_true", help="say nothing when all is well")
    given = options.parse_args()
    verbosity = 0 if given.quiet else 1
    choose_settings("config.settings.base")
    with or_exit():
        django.setup()
    gc.disable()  # each step draws the models anew: collecting the old ones meanwhile takes a third of the time
    try:
        migrate(verbosity)
    except CommandError as why:
        sys.stderr.write(f"{why}\n")
        return 1
    call_command("grant_web_role", role=given.web_role, verbosity=verbosity)
    if given.purge_role:
        call_command("grant_purge_role", role=given.purge_role, verbosity=verbosity)
    return 0


def migrate(verbosity: int) -> None:
    """Run every step that is missing, each again while what serves holds its table; CommandError after the last try.

    Each step is whole or not there, and one that is done is not done again.
    """
    for tries_left in reversed(range(TRIES)):
        try:
            call_command("migrate", interactive=False, verbosity=verbosity, skip_checks=False)
        except OperationalError as why:
            if not isinstance(why.__cause__, LockNotAvailable | DeadlockDetected):
                raise
            if not tries_left:
                raise CommandError(BUSY) from why
            sys.stderr.write(f"A table is in use; the step is tried again in {PAUSE_S:.0f} s.\n")
            time.sleep(PAUSE_S)
        else:
            return


if __name__ == "__main__":
    sys.exit(main())
