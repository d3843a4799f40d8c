"""Throws the demo's data away: its database, photos, digests; `make demo-reset` runs this."""

import argparse
import contextlib
import shutil
import sys

from config.local import places
from config.local.errors import LocalPostgresError
from config.local.postgres import kept

LEFT_BESIDE = ("media", "digests")


def reset() -> None:
    """Remove everything of this checkout's demo; raise LocalPostgresError while it runs."""
    folder = kept().folder
    if folder.is_dir():
        if places.lock(kept().in_use) is None:
            raise LocalPostgresError("the demo is running; stop it first")
        shutil.rmtree(folder)
        with contextlib.suppress(OSError):  # something else is kept there
            folder.parent.rmdir()
    for name in LEFT_BESIDE:
        shutil.rmtree(places.CHECKOUT / ".state" / name, ignore_errors=True)


def main() -> int:
    """Reset; return 1 with a sentence on standard error when that is not possible now."""
    argparse.ArgumentParser(prog="python -m config.local.reset", description=__doc__).parse_args()
    try:
        reset()
    except LocalPostgresError as why:
        sys.stderr.write(f"{why}\n")
        return 1
    sys.stdout.write("The demo's data is gone; the next `make demo` starts over.\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
