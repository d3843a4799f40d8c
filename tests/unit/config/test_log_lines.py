"""What a log line says, plain and as JSON, and that neither shows a token."""

import json
import logging
import sys

import pytest
from django.test import Client
from gunicorn.config import Config

from common.causes import CauseFilter, begin_cause, caused_by, present_cause
from config import env
from config.gunicorn_logs import ServiceLogger
from config.log_lines import FORMATTERS
from config.settings.logs import PLAIN

FEED = "rcf_" + "Ab3-_" * 8 + "xyz"
LINK = "rcs_" + "Ab3-_" * 8 + "xyz"
DEVICE = "rct_" + "Ab3-_" * 8 + "xyz"


def line(form: str, message: str, *given: object, failed: bool = False, **more: object) -> str:
    """What is written of one event within a request."""
    record = logging.LogRecord("fleet.x", logging.WARNING, "f", 1, message, given, None)
    vars(record).update(more)
    record.created = 1_772_820_000.25
    if failed:
        try:
            int(FEED)
        except ValueError:
            record.exc_info = sys.exc_info()
    with caused_by("request-7"):
        CauseFilter().filter(record)
    return FORMATTERS[form](PLAIN).format(record)


@pytest.mark.parametrize("token", [FEED, LINK, DEVICE])
@pytest.mark.parametrize("form", ["text", "json"])
def test_token__is_masked_in_message_arguments_trace_and_what_else_is_given(form: str, token: str) -> None:
    written = line(form, "GET %s of %d", f"/feeds/{token}.ics", 7, failed=True, address=token)
    assert "GET /feeds/….ics of 7" in written
    assert "with base 10: '…'" in written
    assert FEED not in written
    assert token not in written


def test_plain_line__names_level_logger_and_cause() -> None:
    assert line("text", "GET %s", "/rcf_short").partition(" WARNING ")[2] == "fleet.x request-7 GET /rcf_short"


def test_json_line__is_one_object_with_what_else_was_given() -> None:
    written = line("json", 'said "ñ"\nand more', event="refused", name_given="hob")
    assert "\n" not in written
    assert json.loads(written) == {
        "at": "2026-03-06T18:00:00.250+00:00",
        "level": "WARNING",
        "logger": "fleet.x",
        "request_id": "request-7",
        "message": 'said "ñ"\nand more',
        "event": "refused",
        "name_given": "hob",
    }


def test_json_line__holds_a_trace() -> None:
    told = json.loads(line("json", "it failed", failed=True))
    assert told["trace"].startswith("Traceback (most recent call last)")


def test_cause__ends_with_its_block_and_is_cut_to_what_is_kept() -> None:
    begin_cause("x" * 100)
    assert present_cause() == "x" * 64
    with caused_by("sweep-1"):
        assert present_cause() == "sweep-1"
    assert present_cause() == "x" * 64
    begin_cause("-")


@pytest.mark.parametrize("form", ["text", "json"])
def test_logs_of_the_web_server__are_written_as_the_service_writes_its_own(
    form: str, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("os.environ", {**env.for_child({}), "LOG_FORMAT": form})
    config = Config()
    config.set("accesslog", "-")
    log = ServiceLogger(config)
    log.access_log.info('%(h)s "%(r)s" %(s)s', {"h": "-", "r": f"GET /api/v1/expiries/feeds/{FEED}.ics", "s": "200"})
    log.error_log.error("Error handling request %s", f"/api/v1/expiries/feeds/{FEED}.ics")
    shown = capsys.readouterr()
    said = '- "GET /api/v1/expiries/feeds/….ics" 200'
    assert (json.loads(shown.out)["message"] if form == "json" else shown.out.rstrip("\n")) == said
    assert "/api/v1/expiries/feeds/….ics" in shown.err
    assert FEED not in shown.out + shown.err


def test_host_of_a_stranger__one_short_line_whatever_is_sent(client: Client, caplog: pytest.LogCaptureFixture) -> None:
    assert client.get("/livez", HTTP_HOST="x" * 7000 + ".example").status_code == 400
    (record,) = [record for record in caplog.records if record.name == "django.security.DisallowedHost"]
    assert record.getMessage().startswith("Invalid HTTP_HOST header: 'xxx")
    assert (len(record.getMessage()), record.exc_info) == (200, None)
