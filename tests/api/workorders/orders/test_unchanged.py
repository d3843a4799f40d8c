"""What is read is unchanged as long as all that it shows is: states, the reader's rights and language, names."""

from collections.abc import Callable
from functools import partial

import pytest

from defects.models import Hold
from fleet.enums import Role
from fleet.models import Person
from tests.api.workorders.conftest import Shop
from tests.factories.fleet import give_role, make_person
from tests.factories.workorders import task_of
from tests.support.acting import Device, acting_as
from tests.support.yard import Yard


@pytest.fixture
def reader() -> Person:
    return make_person("Ned Quill", Role.AUDITOR)


@pytest.fixture
def pages(yard: Yard) -> dict[str, str]:
    defect = yard.stroke()
    task, hold = task_of(defect), Hold.objects.get(defect=defect)
    return {
        "task": f"repair-tasks/{task.pk}",
        "order": f"repair-orders/{task.order.number}",
        "defect": f"defects/{defect.number}",
        "hold": f"holds/{hold.number}",
    }


def certify(yard: Yard) -> None:
    [hold] = Hold.objects.select_related("defect")
    assert hold.defect is not None
    yard.repaired_stroke(hold.defect)


def changes(yard: Yard, reader: Person) -> dict[str, Callable[[], object]]:
    return {
        "state": partial(certify, yard),
        "rights": partial(give_role, reader, Role.FOREMAN),
        "language": partial(Person.objects.filter(pk=reader.pk).update, language="es"),
        "name": partial(Person.objects.update, name="Somebody Else"),
    }


def unchanged(device: Device, path: str, tag: str) -> bool:
    answer = device.send("GET", path, headers={"If-None-Match": tag})
    assert answer.status_code in {200, 304}
    return answer.status_code == 304


@pytest.mark.parametrize("what", ["state", "rights", "language", "name"])
def test_page__is_read_anew_when_anything_that_it_shows_has_changed(
    yard: Yard, reader: Person, pages: dict[str, str], what: str
) -> None:
    device = acting_as(reader)
    tags = {path: device.get(path).headers["ETag"] for page, path in pages.items() if (page, what) != ("task", "name")}
    assert all(unchanged(device, path, tag) for path, tag in tags.items())

    changes(yard, reader)[what]()

    assert [path for path, tag in tags.items() if unchanged(device, path, tag)] == []


def test_order__is_read_anew_when_a_task_of_it_was_started(shop: Shop) -> None:
    hob = acting_as("hob")
    hob.act(shop.path, "assign", {"assigned_to": str(shop["greta"].pk)})
    tag = hob.get(shop.path).headers["ETag"]
    assert acting_as("greta").act(f"repair-tasks/{shop.lamp_task.pk}", "start", {}).status_code == 200
    assert not unchanged(hob, shop.path, tag)


@pytest.mark.parametrize("alone", [False, True])
def test_write__heeds_the_version_in_the_tag_alone(shop: Shop, alone: bool) -> None:
    hob, body = acting_as("hob"), {"assigned_to": str(shop["greta"].pk)}
    read = hob.get(shop.path)
    tag = f'"{read.json()["version"]}"' if alone else read.headers["ETag"]
    Person.objects.update(language="es", name="Somebody Else")

    done = hob.post(f"{shop.path}/assign", body, if_match=tag)

    assert (done.status_code, done.json()["version"]) == (200, read.json()["version"] + 1)
    assert done.headers["ETag"] == hob.get(shop.path).headers["ETag"] != read.headers["ETag"]
    assert hob.post(f"{shop.path}/assign", body, if_match=tag).json()["code"] == "version_changed"
