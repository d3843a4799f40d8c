"""Tokens in what is logged."""

import logging

import pytest
from gunicorn.config import Config

from config.gunicorn_logs import MaskingLogger
from config.masking import MaskTokens

FEED = "rcf_" + "Ab3-_" * 8 + "xyz"
LINK = "rcs_" + "Ab3-_" * 8 + "xyz"
DEVICE = "rct_" + "Ab3-_" * 8 + "xyz"


@pytest.mark.parametrize("token", [FEED, LINK, DEVICE])
def test_token__is_masked_in_message_and_arguments(token: str) -> None:
    record = logging.LogRecord("x", logging.INFO, "f", 1, "GET %s of %d", (f"/feeds/{token}.ics", 7), None)
    assert MaskTokens().filter(record)
    assert record.getMessage() == "GET /feeds/….ics of 7"


def test_other_message__stays_as_it_is() -> None:
    record = logging.LogRecord("x", logging.INFO, "f", 1, "GET %s", ("/rcf_short",), None)
    assert MaskTokens().filter(record)
    assert (record.msg, record.args) == ("GET %s", ("/rcf_short",))


def test_access_log_of_the_web_process__shows_no_token(capsys: pytest.CaptureFixture[str]) -> None:
    config = Config()
    config.set("accesslog", "-")
    log = MaskingLogger(config)
    log.access_log.info('%(h)s "%(r)s" %(s)s', {"h": "-", "r": f"GET /api/v1/expiries/feeds/{FEED}.ics", "s": "200"})
    log.error_log.error("Error handling request %s", f"/api/v1/expiries/feeds/{FEED}.ics")
    shown = capsys.readouterr()
    assert shown.out == '- "GET /api/v1/expiries/feeds/….ics" 200\n'
    assert "/api/v1/expiries/feeds/….ics" in shown.err
    assert FEED not in shown.out + shown.err
