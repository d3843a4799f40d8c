"""A request names its own time to the demo and to nothing else: an installation has no code that would listen."""

import json
import subprocess
import sys
from http import HTTPStatus
from pathlib import Path
from types import ModuleType

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import path
from pytest_django import Settings

from common import clock
from config.env import CHECKOUT

THEN = "2031-05-01T12:00:00+00:00"
ASKING = """
import json, sys, types
from config.wsgi import application
from django.conf import settings
from django.http import HttpResponse
from django.test import Client
from django.urls import get_resolver, path
from common import clock

get_resolver().url_patterns
urls = types.ModuleType("urls")
urls.urlpatterns = [path("", lambda request: HttpResponse(clock.now().isoformat()))]
sys.modules["urls"] = urls
settings.ROOT_URLCONF = "urls"
answer = Client().get("/", secure=True, headers={"host": "localhost", "demo-clock": sys.argv[1]})
loaded = {name.partition(".")[0] for name in sys.modules} & {"fixtures", "celery", "kombu", "redis", "boto3"}
print(json.dumps([answer.content.decode(), sorted(loaded)]))
"""


def _asked_in_production(folder: Path) -> tuple[str, list[str]]:
    """What the service takes for the present when told another, and what it has loaded that it must not have."""
    variables = {
        "DJANGO_SETTINGS_MODULE": "config.settings.base",
        "DATABASE_URL": "postgresql://nobody@/none?host=/nonexistent",
        "SECRET_KEY": "x" * 50,
        "ALLOWED_HOSTS": "localhost",
        "MEDIA_ROOT": str(folder),
        "HISTORY_DIGEST_DIR": str(folder),
    }
    words = [sys.executable, "-c", ASKING, THEN]
    done = subprocess.run(words, cwd=CHECKOUT, env=variables, capture_output=True, text=True, check=True)
    said, loaded = json.loads(done.stdout.splitlines()[-1])
    return said, loaded


def test_production__answers_by_its_own_clock_and_loads_no_demo_broker_or_bucket(tmp_path: Path) -> None:
    before = clock.now().isoformat()
    said, loaded = _asked_in_production(tmp_path)
    assert before < said < THEN
    assert loaded == []


def test_demo_asked_the_same__answers_as_of_that_time(client: Client, settings: Settings) -> None:
    """The suite's settings are the demo's: `config.settings.test` assumes LOCAL_DEMO."""
    urls = ModuleType("urls")
    urls.urlpatterns = [path("", lambda request: HttpResponse(clock.now().isoformat()))]  # type: ignore[attr-defined]
    settings.ROOT_URLCONF = urls
    assert client.get("/", headers={"demo-clock": THEN}).content.decode() == THEN


@pytest.mark.parametrize("given", ["tomorrow", "2031-05-01T12:00:00", "1899-12-31T23:59:59Z", ""])
def test_header_that_names_no_instant__a_problem(client: Client, given: str) -> None:
    answer = client.get("/livez", headers={"demo-clock": given})
    assert answer.status_code == HTTPStatus.BAD_REQUEST
    assert answer.headers["Content-Type"] == "application/problem+json"
