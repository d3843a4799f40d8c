"""The walk's frame, and what keeps it on a phone."""

import pytest
from django.test import Client

from config.env import CHECKOUT

STATIC = CHECKOUT / "pages" / "static" / "pages"


def test_service_worker__keeps_every_file_by_its_plain_name_and_by_the_one_that_pages_name(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("pages.views.walk.static", lambda name: f"/static/{name.replace('.', '.0123456789ab.')}")
    answer = Client().get("/service-worker.js")
    script = answer.content.decode()
    named = [path.name for path in STATIC.iterdir()]
    plain = [f'"/static/pages/{name}"' for name in named]
    lasting = [f'"/static/pages/{name.replace(".", ".0123456789ab.")}"' for name in named]
    assert [name for name in (*plain, *lasting) if name not in script] == []
    assert "connect-src 'self'" in answer.headers["Content-Security-Policy"]


def test_walk__needs_somebody_signed_in() -> None:
    assert Client().get("/walk?tractor=NL-15").headers["Location"] == "/sign-in?next=%2Fwalk%3Ftractor%3DNL-15"
