"""An edit names the version it acts on: missing, stale, weak and malformed tags are told apart."""

import re
from dataclasses import dataclass

import pytest
from django.test import Client
from django.urls import path
from rest_framework.request import Request
from rest_framework.response import Response

from common.api.permissions import ANY_ROLE
from common.api.views import ApiView, ApiViewSet, expected_version, set_etag
from common.versions import require_version
from tests.support.callers import HeaderAuthentication, signed_in

pytestmark = pytest.mark.urls(__name__)
ANA = signed_in("ana", "foreman")


@dataclass
class Row:
    """What people edit."""

    version: int = 3


class Edited(ApiView):
    """One row at version 3."""

    authentication_classes = (HeaderAuthentication,)
    roles = {"get": ANY_ROLE, "patch": ANY_ROLE, "put": ANY_ROLE}
    if_match = frozenset({"put"})

    def get(self, request: Request) -> Response:
        response = Response({"version": 3})
        set_etag(response, Row().version)
        return response

    def patch(self, request: Request) -> Response:
        require_version(Row(), expected_version(request))
        return Response({"edited": True})

    def put(self, request: Request) -> Response:
        return Response({"expected": expected_version(request)})


started: list[Request] = []


class Moves(ApiViewSet):
    """A transition that needs a version, and one that does not."""

    authentication_classes = (HeaderAuthentication,)
    idempotency = "none"
    roles = {"start": ANY_ROLE, "look": ANY_ROLE}
    if_match = frozenset({"start"})

    def start(self, request: Request) -> Response:
        started.append(request)
        return Response({})

    def look(self, request: Request) -> Response:
        return Response({})


urlpatterns = [
    path("row", Edited.as_view()),
    path("start", Moves.as_view({"post": "start"})),
    path("look", Moves.as_view({"post": "look"})),
]


def test_version_shown__strong_tag_and_304_for_who_has_it(client: Client) -> None:
    tag = client.get("/row", headers=ANA).headers["ETag"]
    assert re.fullmatch('"3-[0-9a-f]{16}"', tag)
    again = client.get("/row", headers={**ANA, "If-None-Match": tag})
    assert (again.status_code, again.content) == (304, b"")
    for other in ('"3"', '"2"', f'{tag[:-2]}x"'):
        assert client.get("/row", headers={**ANA, "If-None-Match": other}).status_code == 200


@pytest.mark.parametrize("tag", ['"3"', '"3-0123456789abcdef"'])
def test_present_version__edited(client: Client, tag: str) -> None:
    response = client.patch("/row", headers={**ANA, "If-Match": tag})
    assert (response.status_code, response.json()) == (200, {"edited": True})


@pytest.mark.parametrize("tag", ['"2"', '"4"', 'W/"3"', '"3-01"', '"03x"', '""', '"abc"'])
def test_another_version__precondition_failed_with_the_present_one(client: Client, tag: str) -> None:
    response = client.patch("/row", headers={**ANA, "If-Match": tag})
    found = response.json()
    assert (response.status_code, found["code"], found["current_version"]) == (412, "version_changed", 3)


@pytest.mark.parametrize("headers", [{}, {"If-Match": ""}, {"If-Match": "*"}])
def test_no_version_named__precondition_required(client: Client, headers: dict[str, str]) -> None:
    response = client.patch("/row", headers={**ANA, **headers})
    assert (response.status_code, response.json()["code"]) == (428, "if_match_required")


@pytest.mark.parametrize("tag", ["3", '"3', '"2", "3"', 'w/"3"', "W/3", '"a b"'])
def test_malformed_tag__unreadable(client: Client, tag: str) -> None:
    response = client.patch("/row", headers={**ANA, "If-Match": tag})
    assert (response.status_code, response.json()["code"]) == (400, "if_match_malformed")


def test_version_for_a_service__read_from_the_header(client: Client) -> None:
    assert client.put("/row", headers={**ANA, "If-Match": '"12"'}).json() == {"expected": 12}
    assert client.put("/row", headers={**ANA, "If-Match": 'W/"12"'}).json() == {"expected": None}


def test_action_that_needs_a_version__refused_before_its_handler(client: Client) -> None:
    started.clear()
    assert client.post("/start", headers=ANA).status_code == 428
    assert client.post("/start", headers={**ANA, "If-Match": "12"}).status_code == 400
    assert started == []
    assert client.post("/start", headers={**ANA, "If-Match": '"12"'}).status_code == 200
    assert len(started) == 1


def test_action_that_needs_none__answered(client: Client) -> None:
    assert client.post("/look", headers=ANA).status_code == 200


def test_stranger__told_to_sign_in_before_anything_else(client: Client) -> None:
    assert client.put("/row").status_code == 401
