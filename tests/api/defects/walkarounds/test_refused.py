"""What is refused whole: unreadable, unsigned, signed by another. Nothing changes, and the phone is told where."""

import json
from typing import Any

import pytest
from django.conf import settings
from rest_framework.test import APIClient

from defects.models import Walkaround
from tests.factories.fleet import NOON
from tests.support.api import codes
from tests.support.contents import contents
from tests.support.ninefold import person
from tests.support.walks import body, check, client, put, send

SIGNED = body([{"unit": "LR-45", "checks": [check("lamps.trailer.turn", "left", "defect")]}], finished_at=NOON)


@pytest.fixture
def iris() -> APIClient:
    return client("iris")


def with_check(**more: Any) -> dict[str, Any]:
    return {**SIGNED, "reports": [{"unit": "LR-45", "checks": [check("lamps.trailer.turn", "left"), more]}]}


def without(name: str) -> dict[str, Any]:
    return {key: value for key, value in SIGNED.items() if key != name}


def signature(**more: Any) -> dict[str, Any]:
    return {**SIGNED, "signature": {**SIGNED["signature"], **more}}


AT_CHECK = "/reports/0/checks/1"
TURN = {"point": "lamps.trailer.turn", "place": "left", "answer": "fine"}

VALUES: dict[str, tuple[dict[str, Any], list[tuple[str, str]]]] = {
    "no signature": (without("signature"), [("/signature", "required")]),
    "signature null": ({**SIGNED, "signature": None}, [("/signature", "null")]),
    "signature without words": (signature(shown=""), [("/signature/shown", "blank")]),
    "signed in no known way": (signature(method="thought"), [("/signature/method", "invalid_choice")]),
    "signed at no instant": (signature(signed_at="noon"), [("/signature/signed_at", "not_an_instant")]),
    "signed without offset": (
        signature(signed_at="2026-03-06T12:00:00"),
        [("/signature/signed_at", "instant_without_offset")],
    ),
    "no reports": ({**SIGNED, "reports": []}, [("/reports", "empty")]),
    "reports left out": (without("reports"), [("/reports", "required")]),
    "no kind": (without("kind"), [("/kind", "required")]),
    "unknown kind": ({**SIGNED, "kind": "moonwalk"}, [("/kind", "invalid_choice")]),
    "never finished": (without("finished_at"), [("/finished_at", "required")]),
    "no such day": ({**SIGNED, "finished_at": "2026-02-30T12:00:00Z"}, [("/finished_at", "not_an_instant")]),
    "unknown field": ({**SIGNED, "approved": True}, [("/approved", "unknown_field")]),
    "unknown field deep down": (with_check(**TURN, grade="A"), [(f"{AT_CHECK}/grade", "unknown_field")]),
    "point left out": (with_check(answer="fine"), [(f"{AT_CHECK}/point", "required")]),
    "number for a text": (with_check(**TURN, value=2.31), [(f"{AT_CHECK}/value", "not_text")]),
    "list for a text": (with_check(**TURN, note=["a"]), [(f"{AT_CHECK}/note", "not_text")]),
    "null for a text": (with_check(**TURN, note=None), [(f"{AT_CHECK}/note", "null")]),
    "yes for a flag": ({**SIGNED, "coupled": "yes"}, [("/coupled", "not_a_flag")]),
    "bell in a text": (with_check(**TURN, note="ding\a"), [(f"{AT_CHECK}/note", "text_control")]),
    "note too long": (with_check(**TURN, note="x" * 1001), [(f"{AT_CHECK}/note", "max_length")]),
    "value too long": (with_check(**TURN, value="1" * 21), [(f"{AT_CHECK}/value", "max_length")]),
    "photo that is no hash": (with_check(**TURN, photos=["A" * 64]), [(f"{AT_CHECK}/photos/0", "not_sha256")]),
    "too many photos": (with_check(**TURN, photos=["a" * 64] * 9), [(f"{AT_CHECK}/photos", "max_length")]),
    "too many checks": (
        {**SIGNED, "reports": [{"unit": "LR-45", "checks": [TURN] * 401}]},
        [("/reports/0/checks", "max_length")],
    ),
    "too many faults": (
        {**SIGNED, "reports": [{"unit": "LR-45", "faults": [{"text": "x"}] * 41}]},
        [("/reports/0/faults", "max_length")],
    ),
    "too many meters": (
        {**SIGNED, "reports": [{"unit": "LR-45", "meters": [{"meter": "engine_h", "shown": "1"}] * 7}]},
        [("/reports/0/meters", "max_length")],
    ),
    "too many reports": ({**SIGNED, "reports": [{"unit": "LR-45"}] * 9}, [("/reports", "max_length")]),
    "fault without a word": (
        {**SIGNED, "reports": [{"unit": "LR-45", "faults": [{"text": " "}]}]},
        [("/reports/0/faults/0/text", "blank")],
    ),
    "two at once": (
        {**without("kind"), "signature": {}},
        [
            ("/kind", "required"),
            ("/signature/method", "required"),
            ("/signature/signed_at", "required"),
            ("/signature/shown", "required"),
        ],
    ),
}


@pytest.mark.parametrize("name", VALUES)
def test_what_cannot_be_read_as_a_signed_walkaround__refused_at_its_place_and_nothing_changed(
    iris: APIClient, name: str
) -> None:
    content, problems = VALUES[name]
    before = contents()

    refused = send(iris, content)

    assert refused.status_code == 422
    assert codes(refused) == problems
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
        (raw('"\\u0000"'), "text_nul", NOTE),
        (raw('"a\\ud800"'), "text_surrogate", NOTE),
        (raw("NaN"), "json_number_unusable", NOTE),
        (raw("1" * 41), "json_number_unusable", NOTE),
        (raw('"a", "note": "b"'), "json_duplicate_key", NOTE),
        (raw("[" * 40 + "]" * 40), "json_too_deep", NOTE + "/0" * 27),
    ],
)
def test_body_that_is_no_json_of_ours__refused_and_nothing_changed(
    iris: APIClient, content: bytes, code: str, place: str | None
) -> None:
    before = contents()

    refused = send(iris, content)

    assert (refused.status_code, refused.json()["code"]) == (400, code)
    assert [error["pointer"] for error in refused.json()["errors"]] == ([] if place is None else [place])
    assert contents() == before


def test_no_body__everything_that_is_needed_is_missing(iris: APIClient) -> None:
    before = contents()
    refused = send(iris, b"")
    assert refused.status_code == 422
    assert {code for _, code in codes(refused)} == {"required"}
    assert [place for place, _ in codes(refused)] == ["/kind", "/started_at", "/finished_at", "/reports", "/signature"]
    assert contents() == before


def test_body_larger_than_is_taken__refused_and_nothing_changed(iris: APIClient) -> None:
    before = contents()
    refused = send(iris, raw(json.dumps("x" * settings.API_MAX_BODY_BYTES)))
    assert (refused.status_code, refused.json()["code"]) == (413, "body_too_large")
    assert contents() == before


def test_body_of_another_type__refused_and_nothing_changed(iris: APIClient) -> None:
    before = contents()
    assert send(iris, SIGNED, media_type="application/x-www-form-urlencoded").status_code == 415
    assert contents() == before


@pytest.mark.parametrize("signer", ["sol", "somebody"])
def test_signed_by_another__refused_and_nothing_changed(iris: APIClient, signer: str) -> None:
    before = contents()
    refused = send(iris, signature(signer=signer))
    assert (refused.status_code, refused.json()["code"]) == (403, "signed_by_another")
    assert contents() == before


def test_signed_with_the_key_of_another__refused_and_nothing_changed(iris: APIClient) -> None:
    sol, before = str(person("sol").pk), contents()
    assert send(iris, signature(signer=sol)).status_code == 403
    assert contents() == before


def test_signer_named_as_at_sign_in_in_any_spelling_or_by_key__taken(iris: APIClient) -> None:
    for signer in ("iris", "Iris", str(person("iris").pk), str(person("iris").pk).upper(), ""):
        put(iris, signature(signer=signer))
    assert Walkaround.objects.count() == 5


def test_as_much_as_may_come_at_once__taken(iris: APIClient) -> None:
    """The other side of the limits above: 8 reports, 400 checks with the longest notes, 40 faults, 6 meters."""
    reports: list[dict[str, Any]] = [{"unit": f"LR-4{number}"} for number in range(1, 8)]
    reports.append({"unit": "NL-15", "checks": [{**TURN, "note": "x" * 1000}] * 400})
    reports[0] |= {"faults": [{"text": "x" * 1000}] * 40, "meters": [{"meter": "odometer_mi", "shown": "1"}] * 6}

    receipt = put(iris, {**SIGNED, "reports": reports})

    assert len(receipt["units"]) == 8
    assert len(receipt["units"][0]["found"]) == 40


def test_texts_left_empty__taken_as_not_given(iris: APIClient) -> None:
    empty = {"value": "", "unit_of_measure": "", "finding": "", "note": "", "reason": "", "place": "left"}
    walk = {**SIGNED, "site": "", "team_mate": "", "reports": [{"unit": "LR-45", "checks": [{**TURN, **empty}]}]}

    receipt = put(iris, walk)

    assert (receipt["queried"], receipt["units"][0]["queried"]) == ([], [])
