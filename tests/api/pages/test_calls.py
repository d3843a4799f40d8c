"""Calling the API in process: the identity comes from nothing outside, and the API takes no session."""

from typing import Any

import pytest
from django.http import HttpRequest
from django.test import Client, RequestFactory

from common import clock
from fleet.api.requests.authentication import PageSession
from fleet.enums import Role, UnitKind
from fleet.models import DeviceToken
from fleet.services.people.sign_in import revoke_token
from pages.calls import call
from tests.factories.fleet import make_carrier, make_person, make_token, make_unit
from tests.support.routes import PREFIX, operations

pytestmark = pytest.mark.django_db
PASSWORD = "a long enough secret"


@pytest.fixture
def driver() -> DeviceToken:
    make_carrier()
    row, _ = make_token(make_person("Ada Brisk", Role.DRIVER, username="ada"), at=clock.now())
    row.person.set_password(PASSWORD)
    row.person.save()
    return row


@pytest.fixture
def page() -> HttpRequest:
    return RequestFactory().get("/")


def test_call__answers_as_the_person_whose_token_the_session_names(driver: DeviceToken, page: HttpRequest) -> None:
    answer = call(page, PageSession(driver.pk), "GET", "me")
    assert (answer.status, answer.body["person"]["id"]) == (200, str(driver.person_id))
    assert answer.headers["Content-Type"] == "application/json"


def test_call_without_session__is_a_stranger_whatever_the_page_came_with(driver: DeviceToken) -> None:
    headers = {
        "Authorization": f"Bearer {make_token(driver.person, at=clock.now())[1]}",
        "Page-Session": str(driver.pk),
    }
    page = RequestFactory().get("/", headers=headers)
    assert call(page, None, "GET", "me").status == 401


def test_calls_of_one_page__look_for_the_session_once(
    driver: DeviceToken, page: HttpRequest, django_assert_num_queries: Any
) -> None:
    session = PageSession(driver.pk)
    call(page, session, "GET", "carrier")
    with django_assert_num_queries(1):
        call(page, session, "GET", "carrier")


def test_call_by_a_token_that_was_revoked__is_refused(driver: DeviceToken, page: HttpRequest) -> None:
    driver.person.current_roles = frozenset()
    revoke_token(token_id=driver.pk, actor=driver.person, now=clock.now())
    assert call(page, PageSession(driver.pk), "GET", "me").status == 401


def test_call__refuses_and_reads_as_the_api_does(driver: DeviceToken, page: HttpRequest) -> None:
    make_unit(UnitKind.TRACTOR, number="NL-11")
    session = PageSession(driver.pk)
    assert call(page, session, "GET", "units", query={"unknown": "1"}).body["code"] == "unknown_parameter"
    assert call(page, session, "POST", "people", body={}).body["code"] == "role_not_allowed"
    assert call(page, session, "GET", "tractors/NL-11").headers["ETag"] == '"1"'
    assert call(page, session, "PATCH", "tractors/NL-11", body={}, headers={"If-Match": '"1"'}).status == 403
    no_key = call(page, session, "POST", "clearances", body={"units": ["NL-11"]})
    assert no_key.body["code"] == "idempotency_key_required"
    read = call(page, session, "GET", "units", query={"kind": "tractor", "limit": "1"}).body["results"]
    assert [unit["number"] for unit in read] == ["NL-11"]


def test_every_address_of_the_api__takes_no_session(driver: DeviceToken) -> None:
    browser = Client()
    signed_in = browser.post("/sign-in", {"username": "ada", "password": PASSWORD, "kind": "desk"})
    assert (signed_in.status_code, browser.get("/").status_code) == (302, 200)
    answered = {
        operation.name: browser.generic(operation.method, f"/{PREFIX}{operation.path}", secure=False).status_code
        for operation in operations()
        if operation.view.authentication_classes and operation.name != "POST /tokens"
    }
    assert len(answered) > 150
    assert {name: status for name, status in answered.items() if status != 401} == {}
