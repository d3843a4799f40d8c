"""What `make` does before anything is installed."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from config.env import CHECKOUT


def _make(*words: str, folder: Path = CHECKOUT) -> "subprocess.CompletedProcess[str]":
    """Run make as from a terminal, not as from the make that may be running this suite."""
    variables = {name: value for name, value in os.environ.items() if not name.startswith(("MAKE", "MFLAGS"))}
    return subprocess.run(["make", *words], cwd=folder, env=variables, capture_output=True, text=True, check=False)


@pytest.fixture
def bare(tmp_path: Path) -> Path:
    """A checkout with nothing installed: the Makefile and the pins."""
    shutil.copy(CHECKOUT / "Makefile", tmp_path)
    shutil.copytree(CHECKOUT / "requirements", tmp_path / "requirements")
    return tmp_path


def _python(folder: Path, *, refuses: str) -> Path:
    """A Python that fails at one import or check, as on a machine where that is missing."""
    path = folder / "python"
    lines = [
        "#!/bin/sh",
        f'case "$*" in *"{refuses}"*) exit 1;; -m*) touch "{folder}/went-on";; esac',
        f'exec {sys.executable} "$@"',
    ]
    path.write_text("\n".join(lines) + "\n")
    path.chmod(0o755)
    return path


@pytest.mark.parametrize("target", ["demo", "test", "check"])
def test_no_venv__the_package_is_named_and_nothing_is_made(bare: Path, target: str) -> None:
    python = _python(bare, refuses="import ensurepip")

    done = _make(target, f"PYTHON={python}", folder=bare)

    assert done.returncode == 2
    assert "apt-get install python3-venv" in done.stderr
    assert not (bare / ".venv").exists()
    assert not (bare / "went-on").exists()


def test_python_too_old__is_said_and_nothing_is_made(bare: Path) -> None:
    python = _python(bare, refuses="sys.version_info")

    done = _make("demo", f"PYTHON={python}", folder=bare)

    assert done.returncode == 2
    assert "Python 3.11 or newer is needed" in done.stderr
    assert not (bare / ".venv").exists()
