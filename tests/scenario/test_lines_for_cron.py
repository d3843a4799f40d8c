"""What docs/operation.md gives cron, run by sh as cron does, with the engine's command in the place of an engine."""

import os
import re
import subprocess
import time
from pathlib import Path

import pytest

from config.env import CHECKOUT

LINE = re.compile(r"^\d+ \d+ \* \* \* root (.*)$", re.MULTILINE)
FOLDER = "/mnt/other-disk/backups"


def given(word: str) -> str:
    """The one line that has the word; cron takes the backslashes away."""
    (line,) = (found for found in LINE.findall((CHECKOUT / "docs" / "operation.md").read_text()) if word in found)
    assert "rm -r" not in line or f"find {FOLDER} " in line, "what the test puts its own folder in the place of"
    return str(line).replace("\\%", "%").replace("cd /srv/reefer", "cd .")


def run(line: str, tmp_path: Path, *, ends_with: int) -> str:
    engine = tmp_path / "bin" / "docker-compose"
    engine.parent.mkdir(exist_ok=True)
    engine.write_text(f"#!/bin/sh\necho said\nexit {ends_with}\n")
    engine.chmod(0o755)
    environment = {"PATH": f"{engine.parent}:{os.environ['PATH']}"}
    done = subprocess.run(["sh", "-c", line], env=environment, capture_output=True, text=True, check=False, timeout=20)
    return done.stdout


@pytest.mark.parametrize(("ends_with", "kept"), [(1, True), (0, False)])
def test_old_backups__go_only_once_a_new_one_stands(tmp_path: Path, ends_with: int, kept: bool) -> None:
    old = tmp_path / "backups" / "2026-01-01"
    old.mkdir(parents=True)
    long_ago = time.time() - 40 * 24 * 3600
    os.utime(old, (long_ago, long_ago))
    for line in map(given, ("back_up", "-mtime")):
        run(line.replace(FOLDER, str(old.parent)), tmp_path, ends_with=ends_with)
    assert old.exists() is kept


@pytest.mark.parametrize(("ends_with", "mailed"), [(1, "said\n"), (0, "")])
def test_doctor__is_heard_of_only_when_something_is_wrong(tmp_path: Path, ends_with: int, mailed: str) -> None:
    line = given("doctor")
    assert "> /" not in line, "no file of a known name that others could have made before"
    assert run(line, tmp_path, ends_with=ends_with) == mailed
