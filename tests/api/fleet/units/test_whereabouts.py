"""Where units are over HTTP: said by a desk, shown newest first, and what lists are cut down to."""

from datetime import timedelta
from typing import Any

import pytest

from fleet.enums import Location, Role, UnitKind
from fleet.models import HistoryEntry, Unit, Whereabouts
from tests.factories.fleet import HOUR, NOON, make_site, make_unit, make_whereabouts
from tests.support.acting import acting_as

pytestmark = pytest.mark.usefixtures("yard")


def say(unit: Unit, **more: Any) -> Any:
    body = {"unit": str(unit), "location": "customer", "address": "Maple Cold, door 4", "since": NOON.isoformat()}
    return acting_as(Role.DISPATCH).post("whereabouts", {**body, **more})


def numbers(route: str, **asked: str) -> list[str]:
    answer = acting_as(Role.DISPATCH).get(route, **asked)
    assert answer.status_code == 200, answer.content
    return [row.get("number") or row["unit"] for row in answer.json()["results"]]


def test_desk_says_where_a_unit_is__recorded_with_its_history() -> None:
    trailer = make_unit(UnitKind.TRAILER)
    answer = say(trailer, legs_down=True, doors_closed=False, mode="cycling", fuel_gal="22.5", seal="A-1", note="Ice.")

    assert answer.status_code == 201, answer.content
    row = answer.json()
    assert (row["location"], row["address"], row["walkaround"]) == ("customer", "Maple Cold, door 4", None)
    assert (row["legs_down"], row["doors_closed"], row["mode"], row["fuel_gal"]) == (True, False, "cycling", "22.5")
    assert HistoryEntry.objects.filter(unit=trailer, kind="whereabouts_recorded").count() == 1


@pytest.mark.parametrize(
    ("said", "pointer"),
    [
        ({"location": "site"}, "/site"),
        ({"address": ""}, "/address"),
        ({"since": (NOON + timedelta(days=30)).isoformat()}, "/since"),
        ({"location": "moon"}, "/location"),
        ({"site": "nowhere"}, "/site"),
        ({"fuel_gal": "-1"}, "/fuel_gal"),
    ],
)
def test_what_cannot_be__refused_and_nothing_recorded(said: dict[str, Any], pointer: str) -> None:
    answer = say(make_unit(UnitKind.TRAILER), **said)

    assert answer.status_code == 422
    assert [problem["pointer"] for problem in answer.json()["errors"]] == [pointer]
    assert not Whereabouts.objects.exists()


def test_open__the_newest_of_each_unit_though_an_older_was_recorded_later() -> None:
    trailer, other = make_unit(UnitKind.TRAILER), make_unit(UnitKind.TRAILER)
    newest = make_whereabouts(trailer, since=NOON - HOUR, location=Location.DEALER)
    make_whereabouts(trailer, since=NOON - 2 * HOUR)
    third = make_whereabouts(other, since=NOON - 3 * HOUR)

    found = acting_as(Role.DISPATCH).get("whereabouts", open="true").json()["results"]
    assert [row["id"] for row in found] == [str(newest.pk), str(third.pk)]


@pytest.mark.parametrize("route", ["units", "trailers", "yard"])
def test_lists__cut_down_to_where_units_are_now(route: str) -> None:
    site = make_site("Drop Yard")
    here, there, gone = (make_unit(UnitKind.TRAILER) for _ in range(3))
    make_whereabouts(here, location=Location.SITE, site=site, address="row 3")
    make_whereabouts(there)
    make_whereabouts(gone, since=NOON - 2 * HOUR)
    make_whereabouts(gone, since=NOON - HOUR, location=Location.UNDER_WAY, address="")

    assert numbers(route, location="customer") == [str(there)]
    assert numbers(route, at_site=site.code) == [str(here)]
    assert numbers(route, location="tow_yard") == []
