"""The phone names its walk-around: sent again it changes nothing, and the name tells nobody else anything."""

import json
from datetime import timedelta
from typing import Any

import pytest

from common.ids import uuid7
from defects.models import Hold, Walkaround
from tests.factories.fleet import NOON
from tests.support.acting import Device, acting_as
from tests.support.contents import contents
from tests.support.walks import body, check, put, send, stroke

MINUTE = timedelta(minutes=1)


def walk(**more: Any) -> dict[str, Any]:
    """Three units, a grave fault, a reading and something flagged."""
    reports = [
        {"unit": "NL-15", "meters": [{"meter": "odometer_mi", "shown": "1"}]},
        {"unit": "LR-45", "checks": [stroke("axle-1-left", "2.60"), check("no.such.point")]},
        {"unit": "CU-45", "faults": [{"text": "rattles when it starts"}]},
    ]
    return body(reports, finished_at=NOON - MINUTE, coupled=True, site="north-yard", **more)


def turned_round(value: Any) -> Any:
    """The same JSON with the members of every object in another order."""
    if isinstance(value, dict):
        return {name: turned_round(value[name]) for name in sorted(value, reverse=True)}
    return [turned_round(item) for item in value] if isinstance(value, list) else value


@pytest.mark.parametrize(
    "spelled",
    [
        json.dumps,
        lambda given: json.dumps(turned_round(given)),
        lambda given: json.dumps(given, indent=3, ensure_ascii=False),
        lambda given: json.dumps(given, separators=(",", ":")).replace("rattles", "\\u0072attles"),
    ],
    ids=["as it was", "other order", "other white space", "other escapes"],
)
def test_same_body__same_receipt_marked_as_replayed_and_nothing_changed(iris: Device, spelled: Any) -> None:
    key = uuid7()
    first = put(iris, walk(), key)
    before = contents()

    again = send(iris, spelled(walk()).encode(), key)

    assert again.status_code == 200
    assert again.json() == {**first, "replayed": True}
    assert first["replayed"] is False
    assert contents() == before


def test_sent_later_with_the_clock_of_then__the_same_walkaround(iris: Device) -> None:
    """`sent_at` is of the sending: a phone that tries again must not be told that it contradicts itself."""
    key = uuid7()
    first = put(iris, walk(sent_at=NOON.isoformat()), key)
    before = contents()

    again = send(iris, walk(sent_at=(NOON + 40 * MINUTE).isoformat()), key)

    assert (again.status_code, again.json()) == (200, {**first, "replayed": True})
    assert contents() == before


def test_number_spelled_otherwise_in_json__the_same_walkaround(iris: Device) -> None:
    key = uuid7()
    put(iris, walk(conditions={"fuel_needed_gal": "40.5"}), key)
    assert send(iris, walk(conditions={"fuel_needed_gal": 40.5}), key).status_code == 200  # a Decimal when read


def test_late_replay__gives_the_stored_response(iris: Device) -> None:
    key = uuid7()
    first = put(iris, walk(), key)
    put(acting_as("sol"), body([{"unit": "LR-45", "checks": [stroke("axle-1-left", "2.60")]}], finished_at=NOON))
    before = contents()

    again = put(iris, walk(), key, status=200)

    assert [found["hold"] for found in again["units"][1]["found"]] == [Hold.objects.get().number]
    assert again == {**first, "replayed": True}
    assert again["clearance"] == "/api/v1/yard?unit=NL-15&unit=LR-45&unit=CU-45"
    assert "answer" not in again
    assert contents() == before


@pytest.mark.parametrize("value", ["2.00004", "2.00006", "2.3149999999"])
def test_value_finer_than_what_is_stored__the_same_receipt_again(iris: Device, value: str) -> None:
    key = uuid7()
    given = body([{"unit": "LR-45", "checks": [stroke("axle-1-left", value, "fine")]}], finished_at=NOON - MINUTE)
    assert put(iris, given, key, status=201) | {"replayed": True} == put(iris, given, key, status=200)


@pytest.mark.parametrize(
    "other",
    [
        walk(kind="post_trip"),
        walk(conditions={"night": True}),
        {**walk(), "reports": walk()["reports"][:2]},
        {**walk(), "reports": walk()["reports"][::-1]},
        {**walk(), "signature": {**walk()["signature"], "shown": "I sign too."}},
    ],
    ids=["kind", "conditions", "a report less", "order of reports", "words above the signature"],
)
def test_other_body_under_the_name__refused_and_nothing_changed(iris: Device, other: dict[str, Any]) -> None:
    key = uuid7()
    put(iris, walk(), key)
    before = contents()

    refused = send(iris, other, key)

    assert (refused.status_code, refused.json()["code"]) == (409, "walkaround_differs")
    assert contents() == before
    put(iris, walk(), key, status=200)


def test_same_body_under_another_name__another_walkaround(iris: Device) -> None:
    put(iris, walk())
    put(iris, walk())
    assert Walkaround.objects.count() == 2


@pytest.mark.parametrize("content", [walk(), walk(kind="post_trip"), body([{"unit": "LR-41"}], finished_at=NOON)])
def test_name_of_another_person__told_nothing_of_it(iris: Device, content: dict[str, Any]) -> None:
    key, sol = uuid7(), acting_as("sol")
    put(iris, walk(), key)
    before = contents()

    taken = send(sol, content, key)

    assert (taken.status_code, taken.json()["code"]) == (404, "not_found")
    assert contents() == before


def test_reading_a_receipt_of_another_driver__answered_like_one_that_is_not_there(iris: Device) -> None:
    key, sol = uuid7(), acting_as("sol")
    first = put(iris, walk(), key)

    hidden, missing = (sol.get(f"walkarounds/{name}") for name in (key, uuid7()))

    assert hidden.status_code == missing.status_code == 404
    assert {**hidden.json(), "instance": ""} == {**missing.json(), "instance": ""}
    assert iris.get(f"walkarounds/{key}").json() == {**first, "replayed": True}
    assert acting_as("hob").get(f"walkarounds/{key}").json() == {**first, "replayed": True}


def test_nobody_signed_in__401_and_nothing_changed() -> None:
    before = contents()
    assert send(Device(), walk()).status_code == 401
    assert contents() == before


@pytest.mark.parametrize("username", ["cal", "vera"])
def test_dispatch_and_office__may_not_hand_in_a_walkaround(username: str) -> None:
    device, before = acting_as(username), contents()
    refused = send(device, walk())
    assert (refused.status_code, refused.json()["code"]) == (403, "role_not_allowed")
    assert contents() == before
