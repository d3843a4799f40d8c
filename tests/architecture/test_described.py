"""An answer that the document does not know fails the test that got it."""

import json
from collections.abc import Mapping
from types import SimpleNamespace
from typing import Any

import pytest
from django.http import HttpResponse

from tests.support.described import check_described

SITE = {
    "id": "01890000-0000-7000-8000-000000000000",
    "code": "EAST",
    "name": "East yard",
    "address": "",
    "time_zone": "America/Chicago",
    "bays": 2,
    "has_signal": True,
    "closed_on": None,
    "version": 1,
    "allowed_actions": [],
}
PROBLEM = {
    "type": "/problems/site_unknown",
    "title": "Not found",
    "status": 404,
    "detail": "There is none.",
    "errors": [],
    "instance": "1",
    "code": "not_found",
}
HEADERS = {"X-Request-Id": "1", "ETag": '"1"'}


def answer(body: Any, status: int = 200, headers: Mapping[str, str] = HEADERS, **more: Any) -> HttpResponse:
    made = HttpResponse(
        json.dumps(body), status=status, headers=headers, content_type=more.pop("kind", "application/json")
    )
    made.resolver_match = SimpleNamespace(route="api/v1/sites/<str:code>")  # type: ignore[attr-defined]
    made.json = lambda: body  # type: ignore[attr-defined]
    return made


def test_answer_as_described__passes() -> None:
    check_described("GET", answer(SITE))
    check_described("GET", answer(PROBLEM, 404, {"X-Request-Id": "1", "Link": "<>"}, kind="application/problem+json"))


@pytest.mark.parametrize(
    ("given", "fault"),
    [
        (answer(SITE, 202), "no such status"),
        (answer({**SITE, "colour": "red"}), "colour"),
        (answer({**SITE, "name": 1}), "/name"),
        (answer({"code": "EAST"}), "name"),
        (answer(SITE, headers={"X-Request-Id": "1"}), "no ETag"),
        (answer(SITE, headers={**HEADERS, "Location": "/"}), "Location is not told"),
        (answer(SITE, kind="text/csv"), "no such content"),
        (answer({**PROBLEM, "code": "arrival_before_departure"}, 404, kind="application/problem+json"), "no such code"),
        (answer({**PROBLEM, "code": "of_no_table"}, 404, kind="application/problem+json"), "/code"),
    ],
)
def test_answer_otherwise__fails(given: HttpResponse, fault: str) -> None:
    with pytest.raises(AssertionError, match=fault):
        check_described("GET", given)
