"""Feeds of the expiry list: made, read by an address alone, useless for anything else, and ended."""

import datetime as dt
from logging.config import dictConfig
from typing import Any

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from icalendar import Calendar

from config.settings.logs import logging_settings
from fleet.enums import Role, UnitKind
from fleet.models import FeedToken, Person, PersonRole
from tests.factories.fleet import (
    HOUR,
    NOON,
    TODAY,
    make_carrier,
    make_document,
    make_feed,
    make_person,
    make_token,
    make_unit,
)
from tests.support.acting import Device, acting_as, codes, refusal

pytestmark = pytest.mark.django_db
STRANGER = Device()


@pytest.fixture(autouse=True)
def trailer() -> None:
    make_carrier()
    unit = make_unit(UnitKind.TRAILER, "LR-44")
    make_document(unit, ends_on=TODAY + dt.timedelta(days=5))
    make_document(unit, kind="periodic_inspection", starts_on=dt.date(2025, 9, 1), ends_on=None)


@pytest.fixture
def vera() -> Person:
    return make_person("Vera Holt", Role.COMPLIANCE)


def path_of(token: str) -> str:
    return f"expiries/feeds/{token}.ics"


def titles(answer: Any) -> list[str]:
    assert answer.status_code == 200, answer.content
    return [str(entry["SUMMARY"]) for entry in Calendar.from_ical(answer.content).walk("VEVENT")]


class TestMaking:
    def test_feed__is_made_read_listed_and_ended(self, vera: Person) -> None:
        desk = acting_as(vera)
        made = desk.post("expiries/feeds", {"name": "my papers", "filters": {"within_days": 30, "unit": "lr-44"}})
        assert (made.status_code, made.headers["Cache-Control"]) == (201, "no-store")
        address = made.json()["address"].removeprefix("http://testserver")
        assert titles(STRANGER.get(address)) == ["LR-44: registration, last day"]
        [listed] = desk.get("expiries/feeds").json()["results"]
        assert listed["filters"] == {"within_days": 30, "unit": "lr-44"}
        assert (listed["name"], listed["last_used_at"]) == ("my papers", "2026-03-06T18:00:00Z")
        assert "address" not in listed
        assert desk.delete(f"expiries/feeds/{listed['id']}").status_code == 204
        assert refusal(STRANGER.get(address)) == (404, "feed_unknown")
        assert desk.get("expiries/feeds").json()["results"] == []
        assert refusal(desk.delete(f"expiries/feeds/{listed['id']}")) == (404, "feed_unknown")

    def test_token__is_kept_as_its_hash_alone(self, vera: Person) -> None:
        token = make_feed(vera)[1]
        with connection.cursor() as cursor:
            cursor.execute("SELECT row_to_json(fleet_feedtoken)::text FROM fleet_feedtoken")
            kept = cursor.fetchone()[0]
        assert token not in kept
        assert token.removeprefix("rcf_") not in kept

    def test_driver__makes_no_feed(self) -> None:
        answer = acting_as(Role.DRIVER).post("expiries/feeds", {"name": "mine"})
        assert refusal(answer) == (403, "role_not_allowed")
        assert not FeedToken.objects.exists()

    @pytest.mark.parametrize(
        ("body", "place"),
        [
            ({"name": ""}, "/name"),
            ({"name": "x", "filters": {"ends_by": "2026-04-01"}}, "/filters/ends_by"),
            ({"name": "x", "filters": {"kind": "passport"}}, "/filters/kind"),
            ({"name": "x", "filters": {"unit": "LR-64"}}, "/filters/unit"),
            ({"name": "x", "filters": {"within_days": -1}}, "/filters/within_days"),
            ({"name": "x", "colour": "red"}, "/colour"),
        ],
    )
    def test_body_that_does_not_do__is_refused(self, vera: Person, body: dict[str, Any], place: str) -> None:
        answer = acting_as(vera).post("expiries/feeds", body)
        assert (answer.status_code, [each for each, _ in codes(answer)]) == (422, [place])
        assert not FeedToken.objects.exists()

    def test_somebody_elses_feed__is_not_there(self, vera: Person) -> None:
        row, token = make_feed(vera)
        other = acting_as(Role.FOREMAN, name="Hob Anselm")
        assert other.get("expiries/feeds").json()["results"] == []
        assert refusal(other.delete(f"expiries/feeds/{row.pk}")) == (404, "feed_unknown")
        assert STRANGER.get(path_of(token)).status_code == 200
        assert acting_as(Role.ADMINISTRATOR).delete(f"expiries/feeds/{row.pk}").status_code == 204
        assert STRANGER.get(path_of(token)).status_code == 404


class TestForNothingElse:
    def test_feeds_token_as_bearer__is_refused_everywhere(self, vera: Person) -> None:
        token = make_feed(vera)[1]
        misused = Device(token)
        for path in ("me", "expiries", "documents", "expiries/feeds"):
            assert refusal(misused.get(path)) == (401, "authentication_failed"), path
        assert refusal(misused.post("expiries/feeds", {"name": "another"})) == (401, "authentication_failed")

    def test_devices_token_in_a_feeds_address__is_refused(self, vera: Person) -> None:
        make_feed(vera)
        token = make_token(vera)[1]
        assert Device(token).get("me").status_code == 200
        assert refusal(STRANGER.get(path_of(token))) == (404, "feed_unknown")
        assert refusal(Device(token).get(path_of(token))) == (404, "feed_unknown")
        assert refusal(STRANGER.get(path_of(token.replace("rct_", "rcf_")))) == (404, "feed_unknown")

    @pytest.mark.parametrize("method", ["POST", "PUT", "PATCH", "DELETE"])
    def test_feeds_address__is_for_reading_alone(self, vera: Person, method: str) -> None:
        token = make_feed(vera)[1]
        assert STRANGER.send(method, path_of(token), {}, key="k").status_code == 405
        assert refusal(STRANGER.get(path_of(token), kind="registration")) == (400, "unknown_parameter")


class TestEnding:
    def test_person_who_leaves__takes_the_feed_along(self, vera: Person) -> None:
        token = make_feed(vera)[1]
        assert STRANGER.get(path_of(token)).status_code == 200
        Person.objects.filter(pk=vera.pk).update(left_on=TODAY)
        assert refusal(STRANGER.get(path_of(token))) == (404, "feed_unknown")

    def test_feed__ends_with_the_last_role_and_shows_what_current_roles_may_see(
        self, vera: Person, frozen_clock: time_machine.Traveller
    ) -> None:
        ada = make_person("Ada Brisk", Role.DRIVER)
        desk = acting_as(vera)
        document = {"kind": "medical_certificate", "person": str(ada.pk), "ends_on": "2026-04-01"}
        assert desk.post("documents", document).status_code == 201
        token = make_feed(vera, subject="person")[1]
        assert titles(STRANGER.get(path_of(token))) == ["Ada Brisk: driver's medical certificate, last day"]
        PersonRole.objects.filter(person=vera).update(role=Role.DISPATCH, ends_on=TODAY)
        assert titles(STRANGER.get(path_of(token))) == []
        frozen_clock.move_to(dt.datetime(2026, 3, 7, 6, 0, tzinfo=dt.UTC))
        assert refusal(STRANGER.get(path_of(token))) == (404, "feed_unknown")

    def test_driver_alone__reads_no_feed_any_more(self, vera: Person) -> None:
        token = make_feed(vera)[1]
        PersonRole.objects.filter(person=vera).update(role=Role.DRIVER)
        assert refusal(STRANGER.get(path_of(token))) == (404, "feed_unknown")

    def test_feed__lasts_a_year_and_tells_of_its_end_in_the_last_month(
        self, vera: Person, frozen_clock: time_machine.Traveller
    ) -> None:
        made = acting_as(vera).post("expiries/feeds", {"name": "mine", "filters": {"unit": "LR-44"}}).json()
        assert made["ends_on"] == "2027-03-06"
        address, told = made["address"].removeprefix("http://testserver"), "The feed mine ends: make a new one"
        for now, expected in (
            (dt.datetime(2027, 2, 3, 18, tzinfo=dt.UTC), False),
            (dt.datetime(2027, 2, 4, 18, tzinfo=dt.UTC), True),
            (dt.datetime(2027, 3, 7, 5, 59, tzinfo=dt.UTC), True),
        ):
            frozen_clock.move_to(now)
            assert (told in titles(STRANGER.get(address))) is expected, now
        frozen_clock.move_to(dt.datetime(2027, 3, 7, 6, tzinfo=dt.UTC))
        assert refusal(STRANGER.get(address)) == (404, "feed_unknown")

    @pytest.mark.parametrize(
        ("last", "code"), [("2026-03-05", "end_before_beginning"), ("2027-03-07", "feed_lasts_too_long")]
    )
    def test_last_day__is_today_or_later_and_within_a_year(self, vera: Person, last: str, code: str) -> None:
        desk = acting_as(vera)
        answer = desk.post("expiries/feeds", {"name": "mine", "ends_on": last})
        assert (answer.status_code, codes(answer)) == (422, [("/ends_on", code)])
        made = desk.post("expiries/feeds", {"name": "mine", "ends_on": "2026-03-06"})
        assert (made.status_code, made.json()["ends_on"]) == (201, "2026-03-06")

    @pytest.mark.parametrize("ended_by", ["own", "reset", "left", "sign-in"])
    def test_new_password_or_leaving__ends_every_feed(self, ended_by: str) -> None:
        vera = make_person("Vera Holt", Role.COMPLIANCE, username="vera")
        vera.set_password("a long way to River Dock")
        vera.save()
        token, new = make_feed(vera)[1], "another road to River Dock"
        make_feed(vera)
        desk, root = acting_as(vera), acting_as(make_person("Root", Role.ADMINISTRATOR, username="root"))
        assert STRANGER.get(path_of(token)).status_code == 200
        done = {
            "own": lambda: desk.send(
                "POST", "me/set-password", {"current_password": "a long way to River Dock", "password": new}
            ),
            "reset": lambda: root.post(f"people/{vera.pk}/set-password", {"password": new}, if_match='"1"'),
            "left": lambda: root.post(f"people/{vera.pk}/leave", {"left_on": "2026-03-06"}, if_match='"1"'),
            "sign-in": lambda: root.patch(f"people/{vera.pk}", {"username": None}, if_match='"1"'),
        }[ended_by]()
        assert done.status_code in {200, 204}
        assert refusal(STRANGER.get(path_of(token))) == (404, "feed_unknown")
        assert not FeedToken.objects.filter(revoked_at__isnull=True).exists()


class TestReading:
    def test_unchanged_feed__is_not_sent_again(self, vera: Person) -> None:
        token = make_feed(vera, kind="registration")[1]
        first = STRANGER.get(path_of(token))
        again = STRANGER.send("GET", path_of(token), headers={"If-None-Match": first.headers["ETag"]})
        assert (again.status_code, again.content) == (304, b"")
        make_document(make_unit(number="NL-11"), ends_on=TODAY)
        changed = STRANGER.send("GET", path_of(token), headers={"If-None-Match": first.headers["ETag"]})
        assert (changed.status_code, len(titles(changed))) == (200, 2)

    @pytest.mark.parametrize("accept", ["text/calendar", "*/*", "application/json", "text/html;q=0.9"])
    def test_calendar_program__is_answered_whatever_it_accepts(self, vera: Person, accept: str) -> None:
        token = make_feed(vera)[1]
        answer = STRANGER.send("GET", path_of(token), headers={"Accept": accept})
        assert (answer.status_code, answer.headers["Content-Type"]) == (200, "text/calendar; charset=utf-8")
        assert STRANGER.send("HEAD", path_of(token), headers={"Accept": accept}).status_code == 200

    def test_feed__speaks_its_owners_language(self) -> None:
        token = make_feed(make_person("Wen Castel", Role.COMPLIANCE, language="es"), kind="registration")[1]
        answer = STRANGER.send("GET", path_of(token), headers={"Accept-Language": "en"})
        assert titles(answer) == ["LR-44: registro del vehículo, último día"]

    def test_reading__is_noted_at_most_once_an_hour(self, vera: Person, frozen_clock: time_machine.Traveller) -> None:
        row, token = make_feed(vera)
        STRANGER.get(path_of(token))
        frozen_clock.move_to(NOON + HOUR / 2)
        with CaptureQueriesContext(connection) as captured:
            STRANGER.get(path_of(token))
        assert [each["sql"] for each in captured if each["sql"].startswith("UPDATE")] == []
        row.refresh_from_db()
        assert row.last_used_at == NOON
        frozen_clock.move_to(NOON + HOUR)
        STRANGER.get(path_of(token))
        row.refresh_from_db()
        assert row.last_used_at == NOON + HOUR


def test_log__shows_no_token_of_a_feed(vera: Person, capsys: pytest.CaptureFixture[str]) -> None:
    """Django logs the address of everything that is not there; a feed's may still be in somebody's calendar."""
    row, token = make_feed(vera)
    row.revoked_at = NOON
    row.save()
    dictConfig(logging_settings("INFO", "text"))  # its stream is the one that is captured
    assert STRANGER.get(path_of(token)).status_code == 404
    shown = capsys.readouterr().err
    assert "Not Found: /api/v1/expiries/feeds/….ics" in shown
    assert token not in shown
