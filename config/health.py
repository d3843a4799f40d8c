"""What the containers ask themselves: `python -m config.health web 8000` or `beat`; ends with 0 when all is well.

The worker needs none of this: Celery's own `inspect ping` asks it.
"""

import sys
import time
import urllib.request
from pathlib import Path
from tempfile import gettempdir

from config import env

SIGN_OF_LIFE = Path(gettempdir()) / "reefer-clearance-beat"
"""Touched by the beat at each turn."""
BEAT_MAX_AGE_S = 120.0
"""Two turns: the beat wakes at least once a minute."""


def web(port: str) -> None:
    """Raise unless the web process on that port answers that it is ready."""
    with env.or_exit():
        host = env.load().allowed_hosts[0].replace("*", "localhost").lstrip(".")
    question = urllib.request.Request(f"http://127.0.0.1:{port}/readyz", headers={"Host": host})
    with urllib.request.urlopen(question, timeout=4):  # noqa: S310 - fixed
        return


def beat() -> None:
    """Raise unless the beat turned a short while ago."""
    age = time.time() - SIGN_OF_LIFE.stat().st_mtime
    if age > BEAT_MAX_AGE_S:
        message = f"the beat has not turned for {age:.0f} s"
        raise TimeoutError(message)


def main() -> int:
    """Ask the one named on the command line."""
    match sys.argv[1:]:
        case ["web", port]:
            web(port)
        case ["beat"]:
            beat()
        case _:
            sys.stderr.write("usage: python -m config.health web <port> | beat\n")
            return 2
    return 0


if __name__ == "__main__":
    sys.exit(main())
