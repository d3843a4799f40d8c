"""The roster of people on call over HTTP: entered, looked up, withdrawn; refused with the rule."""

from typing import Any

import pytest

from common.ids import uuid7
from fleet.enums import Role
from fleet.models import OnCallShift, Person
from tests.factories.fleet import make_carrier, make_person, make_site
from tests.support.acting import Device, acting_as, codes

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def hob() -> Person:
    make_carrier()
    return make_person("Hob Anselm", Role.FOREMAN)


@pytest.fixture
def desk() -> Device:
    return acting_as(Role.DISPATCH, name="Cal Wick")


def turn(hob: Person, **changes: Any) -> dict[str, Any]:
    return {
        "person": str(hob.pk),
        "role": "foreman",
        "starts_at": "2026-03-06T18:00:00-06:00",
        "ends_at": "2026-03-07T06:00:00-06:00",
        **changes,
    }


def test_entered__answered_in_full_and_found_by_the_instant(hob: Person, desk: Device) -> None:
    site = make_site()

    answer = desk.post("on-call", turn(hob, site=site.code))

    assert answer.status_code == 201
    made = answer.json()
    assert (made["person"]["name"], made["role"], made["site"], made["recorded_by"]["name"], made["withdrawn_at"]) == (
        "Hob Anselm",
        "foreman",
        site.code,
        "Cal Wick",
        None,
    )
    night, noon = {"at": "2026-03-07T03:00:00Z"}, {"at": "2026-03-06T18:00:00Z"}
    assert [row["id"] for row in desk.get("on-call", **night).json()["results"]] == [made["id"]]
    assert desk.get("on-call", **noon).json()["results"] == []


def test_withdrawn__kept_and_no_longer_listed_and_not_a_second_time(hob: Person, desk: Device) -> None:
    key = desk.post("on-call", turn(hob)).json()["id"]

    first, second = desk.post(f"on-call/{key}/withdraw"), desk.post(f"on-call/{key}/withdraw")

    assert (first.status_code, first.json()["withdrawn_at"]) == (200, "2026-03-06T18:00:00Z")
    assert (second.status_code, second.json()["code"]) == (409, "on_call_withdrawn")
    assert desk.get("on-call").json()["results"] == []
    assert [row["id"] for row in desk.get("on-call", open="false").json()["results"]] == [key]


@pytest.mark.parametrize(
    ("changes", "problem"),
    [
        ({"ends_at": "2026-03-06T18:00:00-06:00"}, ("/ends_at", "end_before_beginning")),
        ({"starts_at": "2026-03-05T18:00:00Z", "ends_at": "2026-03-06T18:00:00Z"}, ("/ends_at", "on_call_over")),
        ({"role": "dispatch"}, ("/role", "on_call_role_not_held")),
        ({"role": "captain"}, ("/role", "invalid_choice")),
        ({"starts_at": "2026-03-06T18:00:00"}, ("/starts_at", "instant_without_offset")),
        ({"starts_at": "0001-01-01T00:00:00Z"}, ("/starts_at", "not_an_instant")),
        ({"phone": "555"}, ("/phone", "unknown_field")),
    ],
)
def test_turn_that_is_not_sound__refused_and_nothing_entered(
    changes: dict[str, Any], problem: tuple[str, str], hob: Person, desk: Device
) -> None:
    answer = desk.post("on-call", turn(hob, **changes))

    assert (answer.status_code, codes(answer)) == (422, [problem])
    assert OnCallShift.objects.count() == 0


def test_no_such_turn__404(desk: Device) -> None:
    assert desk.post(f"on-call/{uuid7()}/withdraw").status_code == 404
