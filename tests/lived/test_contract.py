"""The API's description tried on the running service, as every role and as nobody, over a database after long use.

What is sent is made from the description alone, by a general-purpose library; names of real rows are mixed in. The
short form sends a few cases to each operation; the long one many more, and every border of every field.
"""

import json
import os
import subprocess
from pathlib import Path

import pytest

from common import clock
from config.env import CHECKOUT
from fleet.enums import Role
from fleet.models import Person, PersonRole
from tests.factories.fleet import make_token
from tests.lived.conftest import LivedIn
from tests.lived.names import NAMES
from tests.support.needs import need_program
from tests.support.server import serving

SHORT = os.environ.get("CONTRACT", "long") == "short"
SIZE = (
    ("--phases=fuzzing", "--max-examples=2") if SHORT else ("--phases=examples,coverage,fuzzing", "--max-examples=25")
)
CHECKS = (
    "not_a_server_error,status_code_conformance,content_type_conformance,response_headers_conformance,"
    "response_schema_conformance,ignored_auth"
)
PROGRAM = CHECKOUT / ".venv-contract" / "bin" / "schemathesis"
"""Installed by `make drills`."""
NOBODY = "nobody"

pytestmark = [pytest.mark.drill, pytest.mark.timeout(3600)]


@pytest.mark.parametrize("who", [*Role, NOBODY])
def test_description__is_what_the_service_does(lived_committed: LivedIn, who: str, tmp_path: Path) -> None:
    """No error of the service, no status, header or body that the description does not have."""
    names = tmp_path / "names.json"
    names.write_text(json.dumps({f"/api/v1/{path}": [[str(name)] for name in rows()] for path, rows in NAMES.items()}))
    header = [] if who == NOBODY else [f"--header=Authorization: Bearer {_token(who)}"]
    assert lived_committed.web is not None
    with serving(lived_committed.web, tmp_path) as running:
        tried = subprocess.run(
            [
                *(need_program(str(PROGRAM)), "run", str(CHECKOUT / "docs" / "openapi.yaml"), f"--url={running.url}"),
                *(*SIZE, f"--checks={CHECKS}", "--seed=9", "--warnings=off", "--no-color", "--continue-on-failure"),
                *("--suppress-health-check=all", "--request-timeout=30", *header),
            ],
            cwd=tmp_path,
            env={
                **os.environ,
                "PYTHONPATH": str(CHECKOUT),
                "SCHEMATHESIS_HOOKS": "tests.lived.contract_hooks",
                "CONTRACT_NAMES": str(names),
            },
            capture_output=True,
            text=True,
            check=False,
        )
    assert tried.returncode == 0, tried.stdout[-20_000:] + tried.stderr[-2_000:]


def _token(role: str) -> str:
    person = Person.objects.create(name=f"Somebody {role}")
    PersonRole.objects.create(person=person, role=role, starts_on="2026-01-01")
    return make_token(person, at=clock.now())[1]
