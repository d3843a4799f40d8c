"""Whatever stands in a signed walk-around: kept, what was read otherwise flagged, and what was sent kept whole."""

import json
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

import pytest

from common.canonical import canonical_json, sha256_hex
from common.ids import uuid7
from defects.models import Defect, Hold, Measurement, Report, SentBody, Walkaround
from fleet.models import Carrier, Notification, Signature, Site
from tests.factories.fleet import NOON
from tests.support.acting import Device, acting_as
from tests.support.walks import body, check, put, send, stroke

MINUTE = timedelta(minutes=1)
TURN = {"point": "lamps.trailer.turn", "place": "left", "answer": "fine"}
SIGNED = body([{"unit": "LR-45", "checks": [check("lamps.trailer.turn", "left", "defect")]}], finished_at=NOON - MINUTE)
EARLIEST, LATEST = datetime(1900, 1, 1, tzinfo=UTC), datetime(2199, 12, 31, tzinfo=UTC)


def without(name: str) -> dict[str, Any]:
    return {key: value for key, value in SIGNED.items() if key != name}


def signature(**more: Any) -> dict[str, Any]:
    return {**SIGNED, "signature": {**SIGNED["signature"], **more}}


def with_check(**more: Any) -> dict[str, Any]:
    return {**SIGNED, "reports": [{"unit": "LR-45", "checks": [check("lamps.trailer.turn", "left", "defect"), more]}]}


def report(**more: Any) -> dict[str, Any]:
    return {**SIGNED, "reports": [{"unit": "LR-45", "checks": SIGNED["reports"][0]["checks"], **more}]}


AT = "/reports/0/checks/1"
LEFT_TURN = "Trailer turn signal, left: "

ODD: dict[str, tuple[dict[str, Any], list[tuple[str, str]]]] = {
    "signature without words": (signature(shown=""), [("field_missing", "/signature/shown")]),
    "signed in no known way": (signature(method="thought"), [("field_set_aside", "/signature/method")]),
    "signed at no instant": (signature(signed_at="noon"), [("field_set_aside", "/signature/signed_at")]),
    "signed without offset": (
        signature(signed_at="2026-03-06T11:59:00"),
        [("instant_without_zone", "/signature/signed_at")],
    ),
    "signed at the zero date": (
        signature(signed_at="0001-01-01T00:00:00Z"),
        [("instant_out_of_reach", "/signature/signed_at"), ("signed_at_implausible", "")],
    ),
    "begun at the zero date": (
        {**SIGNED, "started_at": "0001-01-01T00:00:00Z"},
        [("instant_out_of_reach", "/started_at"), ("walk_times_implausible", "")],
    ),
    "finished at the end of the calendar": (
        {**SIGNED, "finished_at": "9999-12-31T23:59:59Z"},
        [("instant_out_of_reach", "/finished_at"), ("clock_ahead", ""), ("walk_times_implausible", "")],
    ),
    "finished at the beginning of the calendar": (
        {**SIGNED, "finished_at": "0001-01-01T00:00:00"},
        [
            ("instant_without_zone", "/finished_at"),
            ("instant_out_of_reach", "/finished_at"),
            ("clock_behind", ""),
            ("walk_times_implausible", ""),
        ],
    ),
    "sent at the zero date": ({**SIGNED, "sent_at": "0001-01-01T00:00:00Z"}, [("instant_out_of_reach", "/sent_at")]),
    "no reports": ({**SIGNED, "reports": []}, [("nothing_reported", "")]),
    "reports left out": (without("reports"), [("field_missing", "/reports"), ("nothing_reported", "")]),
    "one report without its list": ({**SIGNED, "reports": SIGNED["reports"][0]}, [("field_of_other_kind", "/reports")]),
    "no kind": (without("kind"), [("field_missing", "/kind")]),
    "unknown kind": ({**SIGNED, "kind": "moonwalk"}, [("field_set_aside", "/kind")]),
    "never finished": (without("finished_at"), [("field_missing", "/finished_at"), ("time_not_given", "")]),
    "no such day": (
        {**SIGNED, "finished_at": "2026-02-30T12:00:00Z"},
        [("field_set_aside", "/finished_at"), ("time_not_given", "")],
    ),
    "unknown field": ({**SIGNED, "approved": True}, [("field_unknown", "/approved")]),
    "unknown field with a name that breaks": (
        {**SIGNED, "a\0\ud800\nb" + "x" * 100: 1},
        [("field_unknown", "/a\N{REPLACEMENT CHARACTER}\N{REPLACEMENT CHARACTER} b" + "x" * 73 + "…")],
    ),
    "unknown field deep down": (with_check(**TURN, grade="A"), [("field_unknown", f"{AT}/grade")]),
    "point left out": (with_check(answer="fine"), [("field_missing", f"{AT}/point")]),
    "number for a text": (with_check(**TURN, note=2.31), [("field_of_other_kind", f"{AT}/note")]),
    "list for a text": (with_check(**TURN, note=["a"]), [("field_of_other_kind", f"{AT}/note")]),
    "null for texts": ({**with_check(**TURN, note=None, value=None), "site": None, "sent_at": None}, []),
    "yes for a flag": ({**SIGNED, "coupled": "yes"}, [("field_set_aside", "/coupled")]),
    "bell in a text": (with_check(**TURN, note="ding\a"), [("field_changed", f"{AT}/note")]),
    "NUL and half a character": (with_check(**TURN, note="a\0\ud800"), [("field_changed", f"{AT}/note")]),
    "note too long": (with_check(**TURN, note="x" * 1001), [("field_cut", f"{AT}/note")]),
    "photo that is no hash": (with_check(**TURN, photos=["cat.jpg"]), [("field_set_aside", f"{AT}/photos/0")]),
    "photo in capitals": (with_check(**TURN, photos=["A" * 64]), []),
    "too many photos": (with_check(**TURN, photos=["a" * 64] * 25), [("list_cut", f"{AT}/photos")]),
    "too many meters": (
        report(meters=[{"meter": "odometer_mi", "shown": "1"}] * 7),
        [("list_cut", "/reports/0/meters")],
    ),
    "fuel below nothing": (
        {**SIGNED, "conditions": {"fuel_needed_gal": "-5"}},
        [("field_set_aside", "/conditions/fuel_needed_gal")],
    ),
    "unit of others of no known kind": (
        {**SIGNED, "units_of_others": [{"kind": "boat", "number": "B1", "owner": "Acme Foods"}]},
        [("field_set_aside", "/units_of_others/0/kind")],
    ),
}


@pytest.mark.parametrize("name", ODD)
def test_what_does_not_fit__kept_flagged_and_what_was_sent_stays_whole(iris: Device, name: str) -> None:
    sent, expected = ODD[name]
    text = json.dumps(sent)
    key = uuid7()

    answer = send(iris, text.encode(), key)

    assert answer.status_code == 201, answer.content
    walk = Walkaround.objects.get(pk=key)
    assert [(item["code"], item["facts"].get("field", "")) for item in walk.flags] == expected
    assert all(item["detail"] for item in answer.json()["flags"])
    kept = SentBody.objects.filter(pk=key).values_list("text", flat=True)
    fitting = {"null for texts", "photo in capitals", "no reports"}
    assert list(kept) == ([] if name in fitting else [text])
    signed = {field: value for field, value in sent.items() if field != "sent_at"}
    if name != "number for a text":  # which the reader takes as a decimal, and Python's own JSON as a float
        assert walk.body_hash == sha256_hex(canonical_json(signed))
    again = send(iris, text.encode(), key)
    assert (again.status_code, again.json()) == (200, {**answer.json(), "replayed": True})
    if "report" not in name:
        assert Defect.objects.filter(point="lamps.trailer.turn").exists()


@pytest.mark.parametrize(
    "key",
    [
        "0a9a55fb-c60b-49c8-9fba-51d52f28857e",
        "9C301A4B-D3FD-407F-8B92-F8B26B717616",
        "01A22BE4-9404-71E8-AF99-BA53A74946A6",
        "a4574418-eca4-11f1-8a36-02fc00000001",
        str(UUID(int=0)),
    ],
    ids=["version 4", "4 in capitals", "7 in capitals", "version 1", "none"],
)
def test_any_uuid_in_any_case__names_a_walkaround(iris: Device, key: str) -> None:
    address = f"/api/v1/walkarounds/{key}"
    first = iris.put(address, SIGNED)
    assert (first.status_code, first.json()["id"]) == (201, key.lower())
    assert iris.put(address.lower(), SIGNED).status_code == 200
    assert iris.get(address).status_code == 200


def test_nothing_odd__only_the_hash_is_kept(iris: Device) -> None:
    put(iris, SIGNED)
    assert not SentBody.objects.exists()


@pytest.mark.parametrize(
    "shown", ["2026-03-06T17:59:05.123456789Z", "2026-03-06t17:59:05z", "2026-03-06T11:59:05.5-06:00"]
)
def test_any_fraction_and_either_case__fit(iris: Device, shown: str) -> None:
    assert put(iris, {**SIGNED, "finished_at": shown})["flags"] == []


def test_instant_without_offset__taken_in_the_sites_zone_else_the_carriers(iris: Device) -> None:
    Carrier.objects.update(time_zone="America/Chicago")
    Site.objects.filter(code="north-yard").update(time_zone="America/Denver")
    walk = {**SIGNED, "finished_at": "2026-03-06T09:59:00"}

    put(iris, {**walk, "site": "North-Yard"})
    put(iris, {**walk, "site": "nowhere"})

    first, second = Walkaround.objects.order_by("finished_at")
    assert second.finished_at == datetime(2026, 3, 6, 16, 59, tzinfo=UTC)
    assert first.finished_at == datetime(2026, 3, 6, 15, 59, tzinfo=UTC)


def test_number_for_the_text_of_a_value__judged_as_the_number(iris: Device) -> None:
    measured = stroke("axle-1-left", "2.60")
    text = json.dumps({**SIGNED, "reports": [{"unit": "LR-45", "checks": [measured]}]}).replace('"2.60"', "2.60")

    answer = send(iris, text.encode())

    assert answer.status_code == 201
    (found,) = answer.json()["units"][0]["found"]
    assert (found["value"], found["severity"]) == ("2.6", "do_not_move")
    assert [item["code"] for item in answer.json()["flags"]] == ["field_of_other_kind"]


@pytest.mark.parametrize("value", ["1" * 21, "2.3100000000000000000000000001", "0" * 30 + "1"])
def test_value_too_long__no_part_of_it_passes_for_the_whole(iris: Device, value: str) -> None:
    receipt = put(iris, {**SIGNED, "reports": [{"unit": "LR-45", "checks": [stroke("axle-1-left", value, "fine")]}]})
    assert [item["code"] for item in receipt["units"][0]["flags"]] == ["value_unreadable"]
    assert not Measurement.objects.exists()


def test_number_of_five_thousand_digits__kept_as_its_text(iris: Device) -> None:
    text = json.dumps(with_check(**TURN, value="X", unit_of_measure="in")).replace('"X"', "9" * 5000)
    answer = send(iris, text.encode())
    assert answer.status_code == 201
    assert [item["code"] for item in answer.json()["flags"]] == ["field_cut"]


@pytest.mark.parametrize(
    ("reports", "words"),
    [
        ([{"unit": "LR-45", "checks": [TURN, "brakes smoke", None, 7]}], "brakes smoke 7"),
        ([{"unit": "LR-45", "faults": ["tire smokes"]}], "tire smokes"),
        ([{"unit": "LR-45", "faults": [{"place": "left"}]}], "left: …"),
        (
            [{"unit": "LR-45", "faults": [{"what": "rattles", "where": {"part": "dash"}}]}],
            'what: rattles; where: {"part":"dash"}',
        ),
        (
            [{"unit": "LR-45", "checks": [{"point": TURN["point"], "place": "left", "result": "out"}]}],
            LEFT_TURN + "result: out",
        ),
        (
            [{"unit": "LR-45", "checks": [{**TURN, "answer": "broken", "note": "cracked"}]}],
            LEFT_TURN + "broken. cracked",
        ),
        ([{"unit": "LR-45", "check": [{"a": "smoke"}], "rev": 3, "extra": []}], '{"check":[{"a":"smoke"}]}'),
        ([{"unit": "LR-45", "checks": [TURN] * 400 + [{"a": "x" * 2000}]}], '{"a":"' + "x" * 993 + "…"),
    ],
)
def test_answer_or_fault_that_cannot_be_read__a_fault_to_grade(iris: Device, reports: list[Any], words: str) -> None:
    receipt = put(iris, {**SIGNED, "reports": reports})

    defect = Defect.objects.get(point="")
    assert (defect.text, defect.graded, str(defect.unit)) == (words, False, "LR-45")
    assert [found["defect"] for found in receipt["units"][0]["found"]] == [defect.number]
    (report,) = acting_as("hob").get("reports", unit="LR-45").json()["results"]
    assert report["findings"] == 1


def test_hold_seen_again__nobody_is_said_to_be_notified(iris: Device) -> None:
    says = [
        put(iris, body([{"unit": "LR-45", "checks": [stroke("axle-1-left", value)]}], finished_at=NOON - ago))["says"]
        for value, ago in (("2.60", 2 * MINUTE), ("2.90", MINUTE))
    ]
    assert says[0].startswith("Do not move LR-45. Foreman and dispatch are notified.")
    assert says[1].startswith("Do not move LR-45. ")
    assert "notified" not in says[1]


def test_cooling_unit_with_a_fault_to_grade__not_to_be_run(iris: Device) -> None:
    says = put(iris, {**SIGNED, "reports": [{"unit": "CU-45", "faults": [{"text": "smokes"}]}]})["says"]
    assert says.startswith("Do not run CU-45 again until the faults are certified.")


def test_answer_in_capitals__is_the_answer(iris: Device) -> None:
    receipt = put(iris, {**SIGNED, "reports": [{"unit": "LR-45", "checks": [{**TURN, "answer": "Defect"}]}]})
    assert ([found["point"] for found in receipt["units"][0]["found"]], receipt["flags"]) == ([TURN["point"]], [])


def test_reports_under_an_unknown_name__a_fault_on_a_unit_nobody_knows(iris: Device) -> None:
    receipt = put(iris, {**without("reports"), "report": [{"unit": "LR-45", "faults": [{"text": "smoke"}]}]})
    assert [unit["known"] for unit in receipt["units"]] == [False]
    assert receipt["recipients"]


def test_defect_told_in_words_alone__goes_by_them_everywhere(iris: Device) -> None:
    told = {"point": "tires.trailer.body", "place": "axle-1-left-outer", "answer": "defect", "note": "bulge at the rim"}
    named = "Trailer tire, axle 1 left outer: finding not named: bulge at the rim"

    receipt = put(iris, {**SIGNED, "reports": [{"unit": "LR-45", "checks": [told]}]})

    assert [found["what"] for found in receipt["units"][0]["found"]] == [named]
    assert Hold.objects.get().reason == named
    assert {notification.facts["what"] for notification in Notification.objects.all()} == {named}


def test_more_reports_than_are_read__the_rest_is_a_fault_on_an_unknown_unit(iris: Device) -> None:
    receipt = put(
        iris, {**SIGNED, "reports": [{"unit": f"LR-4{number}"} for number in range(1, 8)] + [{"unit": "A"}] * 4}
    )
    assert [unit["known"] for unit in receipt["units"]][-2:] == [False, False]
    last = Report.objects.order_by("position").last()
    assert last is not None
    assert (last.given_unit, [fault["text"] for fault in last.faults]) == (
        "A",
        ['{"unit":"A"} {"unit":"A"} {"unit":"A"}'],
    )


def test_fifty_thousand_odd_fields__kept_and_counted(iris: Device) -> None:
    receipt = put(iris, {**SIGNED, **{f"f{number}": 1 for number in range(50_000)}})
    assert len(receipt["flags"]) == 41
    assert receipt["flags"][-1]["code"] == "more_fields_odd"


def test_out_of_reach__nothing_outside_1900_to_2199_is_stored(iris: Device) -> None:
    put(iris, {**signature(signed_at="0001-01-01T00:00:00Z"), "started_at": "9999-12-31T23:59:59-14:00"})
    walk = Walkaround.objects.get()
    assert (walk.started_at, Signature.objects.get().signed_at) == (SIGNED_AT_FINISH, EARLIEST)


SIGNED_AT_FINISH = NOON - MINUTE
"""An instant that has no place in UTC is none; the walk then begins when it was finished."""
