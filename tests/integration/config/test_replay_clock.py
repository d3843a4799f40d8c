"""A request names its own time to the demo and to nothing else: an installation has no code that would listen."""

import ast
import json
import subprocess
import sys
from http import HTTPStatus
from pathlib import Path

import pytest
from django.test import Client

from common import clock
from config.env import CHECKOUT
from tests.support.production_code import modules

THEN = "2031-05-01T12:00:00+00:00"
ASKING = """
import json, sys, types
import django
django.setup()
from django.conf import settings
from django.http import HttpResponse
from django.test import Client
from django.urls import path
from common import clock

urls = types.ModuleType("urls")
urls.urlpatterns = [path("", lambda request: HttpResponse(clock.now().isoformat()))]
sys.modules["urls"] = urls
settings.ROOT_URLCONF = "urls"
answer = Client().get("/", secure=True, headers={"host": "localhost", "demo-clock": sys.argv[1]})
loaded = any(name.partition(".")[0] == "fixtures" for name in sys.modules)
print(json.dumps([answer.content.decode(), loaded]))
"""


def _asked(folder: Path, **more: str) -> tuple[str, bool]:
    """What a service with these variables takes for the present when told another, and whether it has demo code."""
    variables = {
        "DJANGO_SETTINGS_MODULE": "config.settings.base",
        "DATABASE_URL": "postgresql://nobody@/none?host=/nonexistent",
        "SECRET_KEY": "x" * 50,
        "ALLOWED_HOSTS": "localhost",
        "MEDIA_ROOT": str(folder),
        "HISTORY_DIGEST_DIR": str(folder),
        **more,
    }
    words = [sys.executable, "-c", ASKING, THEN]
    done = subprocess.run(words, cwd=CHECKOUT, env=variables, capture_output=True, text=True, check=True)
    said, loaded = json.loads(done.stdout.splitlines()[-1])
    return said, loaded


def test_production_asked_with_a_time_of_ones_own__answers_by_its_clock(tmp_path: Path) -> None:
    before = clock.now().isoformat()
    said, loaded = _asked(tmp_path)
    assert before < said < THEN
    assert not loaded


def test_demo_asked_the_same__answers_as_of_that_time(tmp_path: Path) -> None:
    assert _asked(tmp_path, LOCAL_DEMO="1") == (THEN, True)


@pytest.mark.parametrize("given", ["tomorrow", "2031-05-01T12:00:00", "1899-12-31T23:59:59Z", ""])
def test_header_that_names_no_instant__a_problem(client: Client, given: str) -> None:
    answer = client.get("/livez", headers={"demo-clock": given})
    assert answer.status_code == HTTPStatus.BAD_REQUEST
    assert answer.headers["Content-Type"] == "application/problem+json"


def test_production_code__nowhere_turns_the_clock() -> None:
    naming = [
        path
        for path, tree in modules().items()
        if any("replayed_at" in (getattr(node, "attr", ""), getattr(node, "name", "")) for node in ast.walk(tree))
    ]
    assert naming == ["common/clock.py"]
