"""A walk list that a device has already is not laid out again; whatever changes in it gives it another tag."""

from collections.abc import Callable
from datetime import timedelta

import pytest

from defects.api.walkarounds import walk_view
from fleet.models import Axle
from tests.factories.fleet import NOON
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


def found() -> None:
    reports = [{"unit": "LR-45", "checks": [check("lamps.trailer.turn", "left", "defect")]}]
    put(acting_as("sol"), body(reports, finished_at=NOON - timedelta(minutes=1)))


def measured() -> None:
    reports = [{"unit": "LR-45", "checks": [stroke("axle-1-left", "1.5", "fine")]}]
    put(acting_as("greta"), body(reports, finished_at=NOON - timedelta(minutes=1)))


def rebuilt() -> None:
    axle = Axle.objects.filter(unit__number="LR-45").order_by("number")[0]
    axle.chamber_type = "16"
    axle.save()


def spanish() -> None:
    iris = person("iris")
    iris.language = "es"
    iris.save()


@pytest.mark.parametrize("change", [found, measured, rebuilt, spanish])
def test_changed__sent_whole_under_another_tag(change: Callable[[], None]) -> None:
    tag = tag_of(acting_as("iris"))
    change()
    answer = acting_as("iris").send("GET", "walk", query=QUERY, headers={"If-None-Match": tag})
    assert (answer.status_code, answer.headers["ETag"] == tag) == (200, False)


def test_other_walks_and_other_people__tags_of_their_own() -> None:
    iris, greta = acting_as("iris"), acting_as("greta")
    assert len({tag_of(iris), tag_of(iris, kind="post_trip"), tag_of(iris, coupled="false"), tag_of(greta)}) == 4
