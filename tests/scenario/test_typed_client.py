"""A client that a general-purpose generator makes of the description: nothing is left out, and it plays day 5."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from config.env import CHECKOUT
from fixtures.scenario.stage import PHOTO, Stage
from tests.support.needs import need_program

GENERATOR = CHECKOUT / ".venv-contract" / "bin" / "openapi-python-client"
"""Installed by `make drills`."""
PYTHON = GENERATOR.with_name("python")
HERE = Path(__file__).parent / "typed_client"

pytestmark = [pytest.mark.drill, pytest.mark.timeout(600)]


def test_typed_client__is_generated_whole_and_plays_day_5(stage: Stage, tmp_path: Path) -> None:
    path = f"{tmp_path}{os.pathsep}{CHECKOUT}"
    made = _run(
        *(need_program(str(GENERATOR)), "generate", "--fail-on-warning", "--meta=none"),
        *(f"--path={CHECKOUT / 'docs' / 'openapi.yaml'}", f"--config={HERE / 'generator.yaml'}"),
        f"--output-path={tmp_path / 'described'}",
    )
    assert made.returncode == 0, made.stdout + made.stderr
    checked = _run(
        *(sys.executable, "-m", "mypy", "--config-file=", "--strict", "--follow-imports=silent"),
        *("--explicit-package-bases", "--namespace-packages", f"--cache-dir={tmp_path / 'mypy'}"),
        *(f"--python-executable={PYTHON}", str(HERE / "day_05.py")),
        MYPYPATH=path,
    )
    assert checked.returncode == 0, checked.stdout + checked.stderr
    photo = tmp_path / "stroke.png"
    photo.write_bytes(PHOTO)

    played = _run(*(str(PYTHON), str(HERE / "day_05.py"), stage.address, stage.password, str(photo)), PYTHONPATH=path)

    assert played.returncode == 0, played.stdout + played.stderr


def _run(*command: str, **more: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(command, env={**os.environ, **more}, capture_output=True, text=True, check=False)
