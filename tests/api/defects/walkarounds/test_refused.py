"""What is refused whole: no JSON, too large, unsigned, signed by another. Nothing changes; the phone is told where."""

import json
from typing import Any

import pytest
from django.conf import settings

from defects.models import Walkaround
from tests.factories.fleet import NOON
from tests.support.acting import Device, codes
from tests.support.contents import contents
from tests.support.ninefold import person
from tests.support.walks import body, check, put, send

SIGNED = body([{"unit": "LR-45", "checks": [check("lamps.trailer.turn", "left", "defect")]}], finished_at=NOON)


def without(name: str) -> dict[str, Any]:
    return {key: value for key, value in SIGNED.items() if key != name}


def signature(**more: Any) -> dict[str, Any]:
    return {**SIGNED, "signature": {**SIGNED["signature"], **more}}


TURN = {"point": "lamps.trailer.turn", "place": "left", "answer": "fine"}

UNSIGNED: dict[str, dict[str, Any]] = {
    "no signature": without("signature"),
    "signature null": {**SIGNED, "signature": None},
    "signature that is a text": {**SIGNED, "signature": "I sign."},
    "signature that says nothing": {**SIGNED, "signature": {}},
    "signature of nulls": {**SIGNED, "signature": {"method": None, "signed_at": None, "shown": None}},
    "signature of unknown fields": {**SIGNED, "signature": {"approved": True}},
    "nothing at all": {},
}


@pytest.mark.parametrize("name", UNSIGNED)
def test_unsigned__refused_and_nothing_changed(iris: Device, name: str) -> None:
    before = contents()

    refused = send(iris, UNSIGNED[name])

    assert (refused.status_code, refused.json()["code"]) == (422, "unsigned")
    assert codes(refused) == [("/signature", "unsigned")]
    assert contents() == before


def raw(text: str) -> bytes:
    """The signed walk-around with something put into it as JSON text."""
    return json.dumps(SIGNED).replace('"answer": "defect"', f'"answer": "defect", "note": {text}').encode()


NOTE = "/reports/0/checks/0/note"


@pytest.mark.parametrize(
    ("content", "code", "place"),
    [
        (b'{"kind": ', "json_malformed", None),
        (b"[]", "json_not_an_object", ""),
        (b'"a"', "json_not_an_object", ""),
        (b"\xff\xfe", "body_not_utf8", None),
        (raw("NaN"), "json_number_unusable", NOTE),
        (raw("-Infinity"), "json_number_unusable", NOTE),
        (raw('"a", "note": "b"'), "json_duplicate_key", NOTE),
        (raw("[" * 40 + "]" * 40), "json_too_deep", NOTE + "/0" * 27),
    ],
)
def test_body_that_is_no_json_of_ours__refused_and_nothing_changed(
    iris: Device, content: bytes, code: str, place: str | None
) -> None:
    before = contents()

    refused = send(iris, content)

    assert (refused.status_code, refused.json()["code"]) == (400, code)
    assert [error["pointer"] for error in refused.json()["errors"]] == ([] if place is None else [place])
    assert contents() == before


def test_no_body__unsigned(iris: Device) -> None:
    before = contents()
    refused = send(iris, b"")
    assert (refused.status_code, refused.json()["code"]) == (422, "unsigned")
    assert contents() == before


def test_body_larger_than_is_taken__refused_and_nothing_changed(iris: Device) -> None:
    before = contents()
    refused = send(iris, raw(json.dumps("x" * settings.API_MAX_BODY_BYTES)))
    assert (refused.status_code, refused.json()["code"]) == (413, "body_too_large")
    assert contents() == before


def test_body_of_another_type__refused_and_nothing_changed(iris: Device) -> None:
    before = contents()
    assert send(iris, SIGNED, media_type="application/x-www-form-urlencoded").status_code == 415
    assert contents() == before


@pytest.mark.parametrize("signer", ["sol", "somebody"])
def test_signed_by_another__refused_and_nothing_changed(iris: Device, signer: str) -> None:
    before = contents()
    refused = send(iris, signature(signer=signer))
    assert (refused.status_code, refused.json()["code"]) == (403, "signed_by_another")
    assert contents() == before


def test_signed_with_the_key_of_another__refused_and_nothing_changed(iris: Device) -> None:
    sol, before = str(person("sol").pk), contents()
    assert send(iris, signature(signer=sol)).status_code == 403
    assert contents() == before


def test_signer_named_as_at_sign_in_in_any_spelling_or_by_key__taken(iris: Device) -> None:
    for signer in ("iris", "Iris", str(person("iris").pk), str(person("iris").pk).upper(), ""):
        put(iris, signature(signer=signer))
    assert Walkaround.objects.count() == 5


def test_as_much_as_may_come_at_once__taken(iris: Device) -> None:
    """The other side of the limits above: 8 reports, 400 checks with the longest notes, 40 faults, 6 meters."""
    reports: list[dict[str, Any]] = [{"unit": f"LR-4{number}"} for number in range(1, 8)]
    reports.append({"unit": "NL-15", "checks": [{**TURN, "note": "x" * 1000}] * 400})
    reports[0] |= {"faults": [{"text": "x" * 1000}] * 40, "meters": [{"meter": "odometer_mi", "shown": "1"}] * 6}

    receipt = put(iris, {**SIGNED, "reports": reports})

    assert len(receipt["units"]) == 8
    assert len(receipt["units"][0]["found"]) == 40


def test_texts_left_empty__taken_as_not_given(iris: Device) -> None:
    empty = {"value": "", "unit_of_measure": "", "finding": "", "note": "", "reason": "", "place": "left"}
    walk = {**SIGNED, "site": "", "team_mate": "", "reports": [{"unit": "LR-45", "checks": [{**TURN, **empty}]}]}

    receipt = put(iris, walk)

    assert (receipt["flags"], receipt["units"][0]["flags"]) == ([], [])
