"""A client that a general-purpose generator makes of the description: nothing is left out, and it plays day 5."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from config.env import CHECKOUT
from fixtures.scenario.stage import PHOTO, Stage
from tests.support.described import document
from tests.support.needs import need_program

GENERATOR = CHECKOUT / ".venv-contract" / "bin" / "openapi-python-client"
"""Installed by `make drills`."""
PYTHON = GENERATOR.with_name("python")
HERE = Path(__file__).parent / "typed_client"

pytestmark = [pytest.mark.drill, pytest.mark.timeout(600)]


@pytest.fixture(scope="module")
def generated(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The directory of the client, which is called `described`."""
    directory = tmp_path_factory.mktemp("client")
    made = _run(
        *(need_program(str(GENERATOR)), "generate", "--fail-on-warning", "--meta=none"),
        *(f"--path={CHECKOUT / 'docs' / 'openapi.yaml'}", f"--config={HERE / 'generator.yaml'}"),
        f"--output-path={directory / 'described'}",
    )
    assert made.returncode == 0, made.stdout + made.stderr
    return directory


def test_typed_client__has_every_operation_as_a_module_that_can_be_imported(generated: Path) -> None:
    """What a generator does not understand it leaves out, or writes so that it fails where it is first used."""
    wanted = {
        f"described.api.{operation['tags'][0].replace('-', '_')}.{operation['operationId']}"
        for operations in document()["paths"].values()
        for operation in operations.values()
    }
    found = {
        ".".join(module.relative_to(generated).with_suffix("").parts)
        for module in generated.glob("described/api/*/*.py")
        if module.stem != "__init__"
    }
    assert found == wanted
    every = "import sys; [__import__(name) for name in sys.argv[1:]]"
    imported = _run(str(PYTHON), "-c", every, *sorted(found), PYTHONPATH=str(generated))
    assert imported.returncode == 0, imported.stderr


def test_typed_client__plays_day_5(generated: Path, stage: Stage, tmp_path: Path) -> None:
    path = f"{generated}{os.pathsep}{CHECKOUT}"
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
