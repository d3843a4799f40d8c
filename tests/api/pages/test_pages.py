"""Each page over a combination that dispatch could send: what it shows, what it refuses, what it costs."""

import re
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from defects.models import DriverReview, Refusal
from fleet.models import Person
from pages.views.refusals import LONGEST_REASON
from tests.support.described import document
from tests.support.dock import Dock, make_dock

pytestmark = pytest.mark.django_db
PASSWORD = "a long enough secret"
READ_WHOLE = 25
"""Statements with which the page of what is due reads its reports whole: five more of them."""
PAGES = ("/", "/combination", "/review", "/documents", "/refusal")


@pytest.fixture
def dock() -> Dock:
    return make_dock()


@pytest.fixture
def driver(dock: Dock) -> Client:
    """Sol before the browser, with the dock's combination picked."""
    person = Person.objects.get(username="sol")
    person.set_password(PASSWORD)
    person.save()
    browser = Client()
    assert browser.post("/sign-in", {"username": "sol", "password": PASSWORD, "kind": "phone"}).status_code == 200
    taken = browser.post("/combination", {"units": [dock.tractor.number, dock.trailer.number]})
    assert taken.headers["Location"] == "/"
    return browser


def text_of(answer: Any) -> str:
    return str(answer.content.decode())


def test_today__names_the_combination_with_what_the_api_says_of_it(dock: Dock, driver: Client) -> None:
    shown = text_of(driver.get("/"))
    assert [f"<span>{unit}</span>" in shown for unit in ("NL-13", "LR-46", "CU-46")] == [True] * 3
    dock.stroke()
    now = text_of(driver.get("/"))
    assert "Against it" in now
    assert "LR-46: hold" in now


def test_combination__is_found_by_number_and_what_is_typed_wrong_is_said_beside_it(driver: Client) -> None:
    assert '<input type="hidden" name="units" value="NL-13">' in text_of(driver.get("/combination?number=LR-46"))
    unknown = driver.get("/combination?number=ZZ-1")
    assert 'id="number-problem"' in text_of(unknown)
    refused = driver.post("/combination", {"tractor": "NL-13", "trailer": "NL-99"})
    assert (refused.status_code, 'value="NL-99"' in text_of(refused)) == (422, True)
    assert 'id="trailer-problem"' in text_of(refused)
    assert driver.post("/combination", {"tractor": " ", "trailer": ""}).status_code == 422


def test_unit__is_where_its_label_leads(driver: Client) -> None:
    page = text_of(driver.get("/units/LR-46"))
    assert "<span>NL-13</span>" in page
    label = text_of(driver.get("/units/LR-46/label"))
    assert "http://testserver/units/LR-46" in label
    assert re.search(r'<path d="M\d+ \d+h1v1h-1z', label)
    assert driver.get("/units/ZZ-404").status_code == 404


def test_review__shows_reports_and_certificates_and_signs_for_just_these_once(dock: Dock, driver: Client) -> None:
    dock.repaired_stroke(dock.stroke())
    page = text_of(driver.get("/review"))
    assert "Pushrod stroke" in page
    assert "Certificate" in page
    form = fields(page)
    wrong = driver.post("/review", {**form, "name": "Somebody Else"})
    assert (wrong.status_code, 'id="name-problem"' in text_of(wrong), DriverReview.objects.count()) == (422, True, 0)
    first, second = (driver.post("/review", {**form, "name": "sol  MARRIN"}) for _ in range(2))
    assert (first.status_code, second.status_code) == (302, 302)
    assert DriverReview.objects.values("signature").distinct().count() == 1
    assert "Sign for all units" not in text_of(driver.get("/review"))


def test_review_of_what_changed_meanwhile__is_refused_and_shows_what_is_due_now(dock: Dock, driver: Client) -> None:
    defect = dock.stroke()
    dock.repaired_stroke(defect)
    form = fields(text_of(driver.get("/review")))
    answer = driver.post("/review", {**form, "name": "Sol Marrin", "certificates": []})
    assert answer.status_code == 409
    assert 'value="Sol Marrin"' in text_of(answer)


def test_unit_without_its_certificate__cannot_be_signed_for(dock: Dock, driver: Client) -> None:
    dock.stroke()
    assert "Sign for all units" not in text_of(driver.get("/review"))


def test_refusal__gives_the_driver_a_copy_to_keep_and_says_what_is_missing(dock: Dock, driver: Client) -> None:
    form = fields(text_of(driver.get("/refusal")))
    told = {**form, "unit": "NL-13", "reason": "five inches of free play", "name": "Sol Marrin"}
    empty = driver.post("/refusal", {**told, "reason": " "})
    assert (empty.status_code, 'id="reason-problem"' in text_of(empty)) == (422, True)
    first, again = driver.post("/refusal", told), driver.post("/refusal", told)
    assert (first.status_code, again.headers["Location"]) == (302, first.headers["Location"])
    assert Refusal.objects.count() == 1
    assert "five inches of free play" in text_of(driver.get(first.headers["Location"]))
    copy = driver.get(f"{first.headers['Location']}/copy")
    assert copy.headers["Content-Disposition"].startswith("attachment")
    assert "five inches of free play" in text_of(copy)


def test_text_of_ten_thousand_letters__is_refused_and_stays_in_its_field(driver: Client) -> None:
    form = fields(text_of(driver.get("/refusal")))
    long = "x" * 10_000
    answer = driver.post("/refusal", {**form, "unit": "NL-13", "reason": long, "name": "Sol Marrin"})
    assert (answer.status_code, long in text_of(answer), Refusal.objects.count()) == (422, True, 0)
    assert "Shorten it by 8000 letters." in text_of(answer)


def test_longest_reason__is_the_one_that_the_api_describes() -> None:
    described = document()["components"]["schemas"]["RefusalBody"]["properties"]["reason"]
    assert described["maxLength"] == LONGEST_REASON


def test_documents__are_those_of_units_driver_and_carrier(dock: Dock, driver: Client) -> None:
    page = text_of(driver.get("/documents"))
    assert [name in page for name in ("<h2>NL-13</h2>", "<h2>LR-46</h2>", "<h2>Sol Marrin</h2>")] == [True] * 3
    assert "Periodic inspection" in page


def test_receipt_and_report__tell_of_the_last_walk(dock: Dock, driver: Client) -> None:
    [place] = re.findall(r'href="(/walkarounds/[^"]+)"', text_of(driver.get("/")))
    receipt = text_of(driver.get(place))
    [*reports] = re.findall(r'href="(/reports/[^"]+)"', receipt)
    assert len(reports) == 3
    assert driver.get(reports[0]).status_code == 200


def test_way_from_today__leads_on_with_the_units_of_the_last_walk_where_none_were_picked(driver: Client) -> None:
    driver.post("/sign-in", {"username": "sol", "password": PASSWORD, "kind": "desk"})
    assert "<span>NL-13</span>" in text_of(driver.get("/"))
    assert [driver.get(path).status_code for path in ("/review", "/documents", "/refusal")] == [200] * 3
    assert "NL-13" in text_of(driver.get("/refusal"))


def test_every_page__keeps_others_out_and_loads_nothing_but_our_files(driver: Client) -> None:
    for path in (*PAGES, "/units/NL-13", "/units/NL-13/label"):
        stranger, answer = Client().get(path), driver.get(path)
        assert stranger.headers["Location"].startswith("/sign-in"), path
        assert (answer.status_code, answer.headers["Cache-Control"]) == (200, "no-store"), path
        assert answer.headers["Content-Security-Policy"].startswith("default-src 'none'; script-src 'self'; "), path


@pytest.mark.parametrize("path", PAGES)
def test_page__is_small_and_costs_the_same_with_more_on_record(dock: Dock, driver: Client, path: str) -> None:
    dock.fault("rattles")
    with CaptureQueriesContext(connection) as few:
        answer = driver.get(path)
    for number in range(10):
        dock.fault(f"rattles at {number}")
    with CaptureQueriesContext(connection) as many:
        driver.get(path)
    assert len(answer.content) < 30_000
    assert len(many) - len(few) <= (READ_WHOLE if path == "/review" else 0)


def fields(page: str) -> dict[str, list[str]]:
    """What the page's last form sends by itself."""
    form = page.rpartition("<form")[0].rpartition('<form method="post" class="form')[2] or page
    found: dict[str, list[str]] = {}
    for name, value in re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', form):
        found.setdefault(name, []).append(value)
    return found
