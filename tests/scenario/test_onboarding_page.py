"""The order of onboarding that docs/operation.md gives, pasted into a shell as it stands, against a real server."""

import io
import json
import os
import re
import shlex
import subprocess
import sys
import urllib.request
from pathlib import Path

import pytest
from django.core.management import call_command

from config.env import CHECKOUT
from fleet.models import Mounting, Person, PersonRole
from tests.support.committing import CommittingDatabase
from tests.support.needs import need_program
from tests.support.server import serving

BLOCK = re.compile(r"^```sh\n(.*?)^```$", re.MULTILINE | re.DOTALL)
ADDRESS = "https://clearance.example/api/v1"
MANAGE = re.compile(r"^manage\(\) .*$", re.MULTILINE)
PASSWORD = "a long way to River Dock"


def blocks(heading: str) -> list[str]:
    """What is pasted of a section, in its order."""
    section = (CHECKOUT / "docs" / "operation.md").read_text().partition(f"## {heading}\n")[2]
    return BLOCK.findall(section.partition("\n## ")[0])


@pytest.mark.drill
@pytest.mark.timeout(240)
def test_pasted_as_it_stands__from_an_empty_service_to_an_answer(
    committing_db: CommittingDatabase, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    need_program("curl")
    found, setting, *steps, doctor = blocks("Onboarding a carrier")
    watching = next(block for block in blocks("Watching it") if "reefer-token" in block)
    assert found == "docker-compose exec worker python manage.py found_carrier\n"
    assert doctor == "manage doctor\n"
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{PASSWORD}\n"))
    names = {"name": "Ninefold Larder Lines", "usdot": "0000000", "person": "Ada Min", "username": "ada"}
    call_command("found_carrier", **names, stdout=io.StringIO())
    local = f'manage() {{ {shlex.quote(sys.executable)} {CHECKOUT}/manage.py "$@"; }}'
    with serving(committing_db.web, tmp_path) as server:
        setting, replaced = MANAGE.subn(lambda _: local, setting.replace(ADDRESS, f"{server.url}/api/v1"))
        assert replaced == 1
        done = subprocess.run(
            ["bash", "-c", "set -euo pipefail\n" + setting + "".join(steps) + watching],
            cwd=tmp_path,
            input=f"{PASSWORD}\n",
            env={
                **os.environ,
                "DJANGO_SETTINGS_MODULE": "config.settings.test",
                "DATABASE_URL": committing_db.web.url(),
            },
            capture_output=True,
            text=True,
            check=False,
        )
        figures = urllib.request.Request(
            f"{server.url}/metrics",
            headers={"Authorization": f"Bearer {(tmp_path / 'reefer-token').read_text().strip()}"},
        )
        with urllib.request.urlopen(figures, timeout=10) as answered:
            assert b"reefer_token_left_seconds" in answered.read()
    assert done.returncode == 0, done.stdout + done.stderr
    answer = next(json.loads(line) for line in done.stdout.splitlines() if '"answer"' in line)
    assert (answer["answer"], answer["requested_by"]["name"]) == ("after_driver_steps", "Cal Wick")
    assert answer["units"] == ["NL-15", "LR-46", "CU-46"], "the cooling unit on the trailer is asked for as well"
    assert "0 created" not in done.stdout
    assert PersonRole.objects.count() == 7
    assert Mounting.objects.count() == 1
    assert set(Person.objects.filter(sign_in_given=True).values_list("username", flat=True)) == {"vera", "hob", "iris"}
