"""An installation without containers runs the same commands with the same values as docker-compose.yml."""

import os
import shlex
import shutil
import subprocess
from configparser import ConfigParser
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import pytest
import yaml

from config.env import CHECKOUT
from tests.support.needs import need_program

DEPLOY = CHECKOUT / "config" / "deploy"
RUN = "/srv/reefer/config/deploy/run.sh"
PARTS = ("migrate", "web", "worker", "beat")
SECRET = {"POSTGRES_PASSWORD", "OWNER_PASSWORD", "WEB_PASSWORD", "PURGE_PASSWORD", "REDIS_PASSWORD"}
STARTS_AS = "#!/bin/sh\nprintf '%s\\n' \"$@\" > as\nenv -0 > given\n"
"""In the place of setpriv: keep who it should become, and the variables."""


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A place that holds run.sh and a filled-in `.env`, and no service."""
    place = tmp_path_factory.mktemp("installed")
    (place / "config" / "deploy").mkdir(parents=True)
    shutil.copy(DEPLOY / "run.sh", place / "config" / "deploy")
    example = (CHECKOUT / ".env.example").read_text()
    filled = "\n".join(
        f"{line}{number:0>60}" if line.endswith("=") else line for number, line in enumerate(example.split("\n"))
    )
    (place / ".env").write_text(f"{filled}\nEMAIL_HOST=mail.example\nFILES_SECRET_KEY=a+b/$HOME`id`==\n")
    (place / ".venv" / "bin").mkdir(parents=True)
    pretended = place / ".venv" / "bin" / "setpriv"
    pretended.write_text(STARTS_AS)
    pretended.chmod(0o755)
    return place


@pytest.fixture(scope="module")
def compose(installed: Path) -> dict[str, Any]:
    command = [need_program("docker-compose"), "--env-file", str(installed / ".env"), "config"]
    done = subprocess.run(command, cwd=CHECKOUT, capture_output=True, text=True, check=True)
    services: dict[str, Any] = yaml.safe_load(done.stdout)["services"]
    return services


def started(installed: Path, *words: str) -> tuple[list[str], dict[str, str]]:
    """What run.sh becomes, and the variables it gives."""
    subprocess.run([installed / "config/deploy/run.sh", *words], env={"PATH": os.environ["PATH"]}, check=True)
    given = dict(word.split("=", 1) for word in (installed / "given").read_text().split("\0") if word)
    return (installed / "as").read_text().splitlines(), given


@pytest.mark.parametrize("part", [*PARTS, "backup"])
def test_values__are_those_of_the_containers_but_for_places(
    installed: Path, compose: dict[str, Any], part: str
) -> None:
    becomes, given = started(installed, part, "true")
    assert becomes == ["--reuid=reefer", "--regid=reefer", "--init-groups", "true"]
    there = {
        name: str(value).replace("$$", "$")
        for name, value in compose[part]["environment"].items()
        if value not in {"", None}
    }
    for name in ("DATABASE_URL", "PURGE_DATABASE_URL", "REDIS_URL"):
        here, expected = urlsplit(given.pop(name, "")), urlsplit(there.pop(name, ""))
        assert (here.scheme, here.username, here.password, here.path) == (
            expected.scheme, expected.username, expected.password, expected.path,
        )  # fmt: skip
    assert (there.pop("TRUSTED_PROXIES"), given.pop("TRUSTED_PROXIES")) == ("172.30.250.250", "127.0.0.1")
    # What compose repeats of the service's own defaults, env.py knows.
    defaults = {
        "EMAIL_PORT": "25",
        "EMAIL_SECURITY": "none",
        "EMAIL_SENDER": "notices@localhost",
        "FILES_REGION": "us-east-1",
    }
    assert {name: value for name, value in there.items() if defaults.get(name) != value}.items() <= given.items()
    assert SECRET & set(given) == set()


def test_roles__are_made_by_the_database_s_own_user(installed: Path) -> None:
    becomes, given = started(installed, "postgres", "config/deploy/make-roles.sh")
    assert becomes == ["--reuid=postgres", "--regid=postgres", "--init-groups", "config/deploy/make-roles.sh"]
    assert set(given) >= {"OWNER_PASSWORD", "WEB_PASSWORD", "PURGE_PASSWORD"}


def test_unknown_part__refused(installed: Path) -> None:
    done = subprocess.run(
        [installed / "config/deploy/run.sh", "wep", "true"], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr) == (2, "wep: must be migrate, web, worker, beat, backup or postgres\n")


@pytest.mark.parametrize("part", PARTS)
def test_units__run_the_commands_of_the_containers(compose: dict[str, Any], part: str) -> None:
    unit = ConfigParser(strict=False, interpolation=None)
    lines = (DEPLOY / "systemd" / f"reefer-{part}.service").read_text()
    unit.read_string(
        lines.replace("ExecStart=/srv/reefer/config/deploy/run.sh web python manage.py collectstatic", "Then=")
    )
    program, name, *command = shlex.split(unit["Service"]["ExecStart"])
    assert (program, name) == (RUN, part)
    assert command == [word for word in compose[part]["command"] if word != "--bind=0.0.0.0:8000"]
