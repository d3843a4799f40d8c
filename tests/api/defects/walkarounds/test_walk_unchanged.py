"""A walk list that a device has already is not laid out again; whatever changes in it gives it another tag."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal

import pytest
import time_machine
from django.test import Client

from defects.api.walkarounds import walk_view
from fleet.enums import Role
from fleet.models import Policy, Unit
from tests.factories.fleet import NOON, CoolingForecastFactory
from tests.support.acting import Device, acting_as
from tests.support.ninefold import person
from tests.support.walks import body, check, put, stroke

QUERY = {"tractor": "NL-15", "trailer": "LR-45"}


def tag_of(device: Device, **query: str) -> str:
    answer = device.get("walk", **(QUERY | query))
    assert answer.status_code == 200, answer.content
    return str(answer.headers["ETag"])


def test_unchanged__told_so_and_nothing_laid_out(monkeypatch: pytest.MonkeyPatch) -> None:
    device = acting_as("iris")
    tag = tag_of(device)
    monkeypatch.setattr(walk_view, "walk_answer", None)

    answer = device.send("GET", "walk", query=QUERY, headers={"If-None-Match": tag})

    assert (answer.status_code, answer.content, answer.headers["ETag"]) == (304, b"", tag)


def test_language__is_the_persons_whatever_the_request_accepts_and_varies_alike() -> None:
    device = acting_as("iris")
    tag = tag_of(device)
    spanish = {"Accept-Language": "es"}
    whole = device.send("GET", "walk", query=QUERY, headers=spanish)
    unchanged = device.send("GET", "walk", query=QUERY, headers={**spanish, "If-None-Match": tag})
    refused = Client().get("/api/v1/walk", headers=spanish)

    assert (whole.headers["ETag"], unchanged.status_code) == (tag, 304)
    assert (whole.headers["Content-Language"], refused.headers["Content-Language"]) == ("en", "es")
    varies = {"Accept-Encoding", "Accept-Language", "Authorization"}
    assert [set(each.headers["Vary"].split(", ")) for each in (whole, unchanged)] == [varies, varies]


def found() -> None:
    reports = [{"unit": "LR-45", "checks": [check("lamps.trailer.turn", "left", "defect")]}]
    put(acting_as("sol"), body(reports, finished_at=NOON - timedelta(minutes=1)))


def measured(ago: timedelta = timedelta(minutes=1)) -> None:
    reports = [{"unit": "LR-45", "checks": [stroke("axle-1-left", "1.5", "fine")]}]
    put(acting_as("greta"), body(reports, finished_at=NOON - ago))


def rebuilt() -> None:
    desk = acting_as(Role.COMPLIANCE)
    trailer = desk.get("trailers/LR-45")
    edited = desk.patch("trailers/LR-45", {"model_year": 2011}, if_match=trailer.headers["ETag"])
    assert edited.status_code == 200, edited.content


def decided() -> None:
    Policy.objects.create(
        key="walk_valid_hours", value=10, valid_from=NOON - timedelta(minutes=1), set_by=person("ada"), recorded_at=NOON
    )


def learned() -> None:
    """What the job learns of a cooling unit is in no chain, and a limit of its walk."""
    unit = Unit.objects.get(number="CU-45")
    CoolingForecastFactory.create(unit=unit, air_drop_least_f=Decimal("11.5"))


def spanish() -> None:
    iris = person("iris")
    iris.language = "es"
    iris.save()


@pytest.mark.parametrize("change", [found, measured, rebuilt, decided, learned, spanish])
def test_changed__sent_whole_under_another_tag(change: Callable[[], None]) -> None:
    tag = tag_of(acting_as("iris"))
    change()
    answer = acting_as("iris").send("GET", "walk", query=QUERY, headers={"If-None-Match": tag})
    assert (answer.status_code, answer.headers["ETag"] == tag) == (200, False)


def test_other_walks_and_other_people__tags_of_their_own() -> None:
    iris, greta = acting_as("iris"), acting_as("greta")
    assert len({tag_of(iris), tag_of(iris, form="post_trip"), tag_of(iris, coupled="false"), tag_of(greta)}) == 4


def test_value_a_day_older__sent_whole_although_nothing_was_written() -> None:
    measured(ago=timedelta(hours=23, minutes=58))
    device = acting_as("iris")
    tag = tag_of(device)
    answers = []
    for minutes in (1, 2):
        with time_machine.travel(NOON + timedelta(minutes=minutes), tick=False):
            answers.append(device.send("GET", "walk", query=QUERY, headers={"If-None-Match": tag}))

    assert [answer.status_code for answer in answers] == [304, 200]
    assert answers[1].headers["ETag"] != tag


def test_tag_with_a_later_end__not_ours_and_sent_whole() -> None:
    device = acting_as("iris")
    made = tag_of(device).rpartition("-")[0]

    answer = device.send("GET", "walk", query=QUERY, headers={"If-None-Match": f'{made}-9999999999"'})

    assert answer.status_code == 200


def test_tag_weakened_by_a_proxy__told_so() -> None:
    device = acting_as("iris")

    answer = device.send("GET", "walk", query=QUERY, headers={"If-None-Match": f'"other", W/{tag_of(device)}'})

    assert answer.status_code == 304
