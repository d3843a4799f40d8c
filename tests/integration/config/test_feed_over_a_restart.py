"""A feed as a calendar program meets it: real web processes with an access log, ended and started anew between."""

import urllib.error
import urllib.request
from collections.abc import Mapping
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from icalendar import Calendar

from fixtures.demo.sign_ins import PASSWORD
from fixtures.scenario.client import Client
from tests.support.committing import CommittingDatabase
from tests.support.server import ServerProcess, serving


def read(address: str, headers: Mapping[str, str] | None = None) -> tuple[int, str, bytes]:
    """Status, entity tag and body, asked without any sign-in."""
    try:
        with urllib.request.urlopen(urllib.request.Request(address, headers=dict(headers or {}))) as answer:
            return answer.status, answer.headers["ETag"], answer.read()
    except urllib.error.HTTPError as error:
        with error:
            return error.code, error.headers.get("ETag", ""), error.read()


def uids(content: bytes) -> list[str]:
    return [str(entry["UID"]) for entry in Calendar.from_ical(content).subcomponents]


def test_feed__is_the_same_after_a_restart_and_its_token_is_in_no_log(
    ninefold_committed: CommittingDatabase, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("GUNICORN_CMD_ARGS", "--access-logfile=-")
    told: list[str] = []

    def fetched(running: ServerProcess, path: str, **headers: str) -> tuple[int, str, bytes]:
        # Entries link to their documents; behind a proxy their address stays, here the port would not.
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        return read(running.url + path, {"Host": "127.0.0.1", **named})

    with serving(ninefold_committed.web, tmp_path, workers=1) as running:
        vera = Client(running.url, "vera")
        vera.sign_in("vera", PASSWORD)
        made = vera.call("POST", "/api/v1/expiries/feeds", {"name": "papers"}, expect=201)
        path = urlsplit(made["address"]).path
        status, tag, content = fetched(running, path)
        assert (status, len(uids(content)) > 20) == (200, True)
        told.append(running.log.read_text())
    with serving(ninefold_committed.web, tmp_path, workers=1) as running:
        again = fetched(running, path)
        assert uids(again[2]) == uids(content)
        assert again[:2] == (200, tag)
        assert fetched(running, path, If_None_Match=tag)[0] == 304
        assert fetched(running, path.replace("rcf_", "rct_"))[0] == 404
        told.append(running.log.read_text())
    token = path.rpartition("/")[2].removesuffix(".ics")
    assert token.startswith("rcf_")
    for log in told:
        assert "GET /api/v1/expiries/feeds/….ics HTTP/1.1" in log
        assert token.removeprefix("rcf_") not in log
