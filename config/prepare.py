"""`python -m config.prepare`: what the owner's role does before a new version answers, in one process.

Migrates, then gives the other roles exactly their rights; safe to run again.
"""

import argparse
import gc
import sys

import django
from django.core.management import call_command

from config.env import choose_settings, or_exit


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
    call_command("migrate", interactive=False, verbosity=verbosity, skip_checks=False)
    call_command("grant_web_role", role=given.web_role, verbosity=verbosity)
    if given.purge_role:
        call_command("grant_purge_role", role=given.purge_role, verbosity=verbosity)
    return 0


if __name__ == "__main__":
    sys.exit(main())
