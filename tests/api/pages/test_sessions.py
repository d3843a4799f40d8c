"""A browser's session: bound to the device token, refused without the form's own secret, shown to no script."""

import pytest
from django.test import Client
from pytest_django import Settings

from common import clock
from fleet.enums import Role
from fleet.models import DeviceToken, Person
from tests.factories.fleet import make_carrier, make_person

pytestmark = pytest.mark.django_db
PASSWORD = "a long enough secret"


@pytest.fixture
def driver() -> Person:
    make_carrier()
    person = make_person("Ada Brisk", Role.DRIVER, username="ada")
    person.set_password(PASSWORD)
    person.save()
    return person


@pytest.fixture
def browser(driver: Person) -> Client:
    made = Client()
    answer = made.post("/sign-in", {"username": "ada", "password": PASSWORD, "kind": "phone"})
    assert answer.status_code == 200
    return made


def test_session__ends_at_the_next_request_after_its_token_is_revoked(browser: Client) -> None:
    assert browser.get("/").status_code == 200
    DeviceToken.objects.update(revoked_at=clock.now())
    ended = browser.get("/")
    assert (ended.status_code, ended.headers["Location"]) == (302, "/sign-in")


def test_session__ends_with_the_token_and_with_leaving(browser: Client, driver: Person) -> None:
    DeviceToken.objects.update(ends_at=clock.now())
    assert browser.get("/").status_code == 302
    other = Client()
    other.post("/sign-in", {"username": "ada", "password": PASSWORD, "kind": "desk"})
    Person.objects.filter(pk=driver.pk).update(left_on="2020-01-01")
    assert other.get("/").status_code == 302


def test_roles_taken_away__are_gone_at_once(browser: Client, driver: Person) -> None:
    driver.roles.update(starts_on="2020-01-01", ends_on="2020-01-02")
    assert browser.get("/").status_code == 403


def test_cookies__are_for_the_server_alone(browser: Client) -> None:
    cookie = browser.cookies["sessionid"]
    assert (cookie["httponly"], cookie["samesite"]) == (True, "Lax")
    assert cookie["max-age"] == 365 * 24 * 3600


def test_cookie_of_a_desk__ends_with_the_browser(driver: Person) -> None:
    desk = Client()
    desk.post("/sign-in", {"username": "ada", "password": PASSWORD, "kind": "desk"})
    assert (desk.cookies["sessionid"]["max-age"], desk.cookies["sessionid"]["expires"]) == ("", "")


def test_signing_in__gives_a_session_of_another_name_than_before(browser: Client) -> None:
    before, form = browser.cookies["sessionid"].value, browser.cookies["csrftoken"].value
    browser.post("/sign-in", {"username": "ada", "password": PASSWORD, "kind": "phone"})
    assert browser.cookies["sessionid"].value != before
    assert browser.cookies["csrftoken"].value != form


def test_signing_out__ends_the_token_too(browser: Client) -> None:
    assert browser.post("/sign-out").status_code == 200
    assert DeviceToken.objects.get().revoked_at is not None
    assert browser.get("/").headers["Location"] == "/sign-in"


def test_token__is_told_to_a_phone_once_and_to_a_desk_never(driver: Person) -> None:
    phone, desk = Client(), Client()
    told = phone.post("/sign-in", {"username": "ada", "password": PASSWORD, "kind": "phone"})
    assert (b"rct_" in told.content, told.headers["Cache-Control"]) == (True, "no-store")
    assert b"rct_" not in desk.post("/sign-in", {"username": "ada", "password": PASSWORD, "kind": "desk"}).content
    assert b"rct_" not in phone.get("/").content


@pytest.mark.parametrize("path", ["/sign-in", "/sign-out", "/password"])
def test_form_from_elsewhere__is_refused_with_a_sentence(path: str) -> None:
    browser = Client(enforce_csrf_checks=True)
    answer = browser.post(path, {"username": "ada"})
    assert answer.status_code == 403
    assert "This form is too old" in answer.content.decode()


def test_after_signing_in__only_a_page_of_ours_comes_next(driver: Person) -> None:
    body = {"username": "ada", "password": PASSWORD, "kind": "desk"}
    onward = {
        wanted: Client().post(f"/sign-in?next={wanted}", body).headers["Location"]
        for wanted in ("/password", "https://elsewhere.example/", "//elsewhere.example", "javascript:alert(1)")
    }
    assert onward.pop("/password") == "/password"
    assert set(onward.values()) == {"/"}


def test_password_set_by_somebody_else__leads_to_an_own_one_first(driver: Person) -> None:
    Person.objects.update(sign_in_given=True)
    browser = Client()
    body = {"username": "ada", "password": PASSWORD, "kind": "desk"}
    assert browser.post("/sign-in", body).headers["Location"] == "/password"
    assert browser.get("/").headers["Location"] == "/password"
    refused = browser.post("/password", {"current_password": PASSWORD, "password": "short"})
    assert refused.status_code == 422
    assert 'id="password-problem"' in refused.content.decode()
    taken = browser.post("/password", {"current_password": PASSWORD, "password": "frost on the gladhand 9"})
    assert (taken.status_code, browser.get("/").status_code) == (302, 200)


def test_people_of_the_demo__stand_on_the_sign_in_page_of_the_demo_alone(settings: Settings) -> None:
    assert "ninefold-larder-lines" in Client().get("/sign-in").content.decode()
    [engine] = settings.TEMPLATES
    settings.TEMPLATES = [{**engine, "OPTIONS": {"context_processors": []}}]
    page = Client().get("/sign-in").content.decode()
    assert 'name="password"' in page
    assert "ninefold" not in page
