"""Doing something with defects, holds, refusals and moves over HTTP: versions, repetition, strict bodies, changes."""

import datetime as dt
import json
from pathlib import Path
from typing import Any

import pytest

from common.canonical import sha256_hex
from common.ids import uuid7
from defects.models import (
    Certificate,
    Defect,
    DriverReview,
    Hold,
    LimitedMove,
    Photo,
    Refusal,
    Report,
    SentBody,
    YardMove,
)
from defects.services.walkarounds import photos
from fleet.enums import Role
from fleet.models import HistoryEntry, Person
from tests.factories.fleet import NOON, make_site
from tests.support.acting import acting_as, codes
from tests.support.pictures import jpeg
from tests.support.submissions import answer_to
from tests.support.yard import HORN, MINUTE, TAPE, Yard, hold_version_of, photo_on, version_of


def signature(**more: Any) -> dict[str, Any]:
    return {"method": "drawn", "signed_at": NOON.isoformat(), "shown": "I sign.", **more}


def certificate(**more: Any) -> dict[str, Any]:
    return {
        "kind": "repaired",
        "statement": "adjuster replaced",
        "signature": signature(),
        "worked_by": [str(Person.objects.get(username="greta").pk)],
        **more,
    }


MEASURED = {"value": "1.62", "unit_of_measure": "in", "measured_at": (NOON - MINUTE).isoformat()}


def tag(defect: Defect) -> str:
    return f'"{version_of(defect)}"'


def everything() -> tuple[int, ...]:
    """How much there is of all that could have been written."""
    return tuple(
        model.objects.count()
        for model in (Certificate, DriverReview, Hold, LimitedMove, Photo, Refusal, YardMove, HistoryEntry, Person)
    )


def refused(answer: Any, status: int, code: str, before: tuple[int, ...]) -> Any:
    body = answer.json()
    assert (answer.status_code, body["code"]) == (status, code), body
    assert answer.headers["Content-Type"] == "application/problem+json"
    assert everything() == before
    return body


# Versions and repetition, for every move of a defect or hold


MOVES: dict[str, tuple[str, dict[str, Any]]] = {
    "certify": (
        "greta",
        {"kind": "repaired", "statement": "adjuster replaced", "signature": signature(), "measured": MEASURED},
    ),
    "supersede": ("greta", {"statement": "x", "signature": signature()}),
    "grade": ("hob", {"severity": "watch", "bars": "nothing", "authority": "carrier"}),
    "regrade": ("hob", {"severity": "before_next_use", "bars": "movement", "reason": "seen"}),
    "reopen": ("hob", {"reason": "still over"}),
    "entered-in-error": ("hob", {"reason": "wrong wheel", "measured": MEASURED, "signature": signature()}),
}


@pytest.mark.parametrize("move", MOVES)
def test_move_without_or_with_an_old_version__refused(yard: Yard, move: str) -> None:
    defect = yard.stroke()
    by, body = MOVES[move]
    path, before = f"defects/{defect.number}/{move}", everything()

    refused(acting_as(by).post(path, body), 428, "if_match_required", before)
    refused(acting_as(by).post(path, body, if_match='"999"'), 412, "version_changed", before)
    refused(acting_as(by).post(path, body, if_match=f"W/{tag(defect)}"), 412, "version_changed", before)
    refused(acting_as(by).post(path, body, if_match="x"), 400, "if_match_malformed", before)


@pytest.mark.parametrize("move", MOVES)
def test_move_with_a_field_nobody_knows__refused(yard: Yard, move: str) -> None:
    defect = yard.stroke()
    by, body = MOVES[move]
    before = everything()
    answer = acting_as(by).post(f"defects/{defect.number}/{move}", {**body, "override": True}, if_match=tag(defect))
    refused(answer, 422, "invalid", before)
    assert codes(answer) == [("/override", "unknown_field")]


@pytest.mark.parametrize("move", MOVES)
def test_move_of_a_defect_nobody_knows__not_found(yard: Yard, move: str) -> None:
    by, body = MOVES[move]
    refused(acting_as(by).post(f"defects/999999/{move}", body, if_match='"1"'), 404, "defect_unknown", everything())


def test_certified__page_with_the_new_tag_and_once_only_when_sent_twice(yard: Yard) -> None:
    defect, key = yard.stroke(), str(uuid7())
    seen, body = tag(defect), certificate(measured=MEASURED)

    first = acting_as("greta").post(f"defects/{defect.number}/certify", body, key=key, if_match=seen)
    again = acting_as("greta").post(f"defects/{defect.number}/certify", body, key=key, if_match=seen)

    assert (first.status_code, first.json()["state"]) == (200, "certified")
    assert (again.status_code, again.json(), again.headers["ETag"]) == (200, first.json(), first.headers["ETag"])
    assert first.json()["version"] == version_of(defect)
    assert tag(defect) != seen
    assert Certificate.objects.count() == 1
    other = acting_as("greta").post(
        f"defects/{defect.number}/certify", certificate(statement="other", measured=MEASURED), key=key, if_match=seen
    )
    assert (other.status_code, other.json()["code"]) == (422, "idempotency_key_reused")


def test_certificate_without_evidence__refused_with_what_is_needed_in_words(yard: Yard) -> None:
    defect, before = yard.stroke(), everything()
    answer = acting_as("greta").post(f"defects/{defect.number}/certify", certificate(), if_match=tag(defect))
    body = refused(answer, 422, "certificate_without_evidence", before)
    assert body["detail"] == "A certificate needs evidence here: a measurement."
    assert codes(answer) == [("/measured", "certificate_without_evidence")]


def test_move_not_allowed_from_this_state__conflict_with_what_is(yard: Yard) -> None:
    defect = yard.stroke()
    yard.repaired_stroke(defect)
    answer = acting_as("greta").post(
        f"defects/{defect.number}/certify", certificate(measured=MEASURED), if_match=tag(defect)
    )
    body = refused(answer, 409, "action_not_allowed", everything())
    assert body["allowed_actions"] == ["supersede", "reopen"]


def test_unqualified_for_brakes__refused_by_name(yard: Yard) -> None:
    defect, before = yard.stroke(), everything()
    answer = acting_as("sam").post(
        f"defects/{defect.number}/certify", certificate(measured=MEASURED), if_match=tag(defect)
    )
    body = refused(answer, 403, "brake_qualification_needed", before)
    assert body["detail"] == "Sam Ruy is not qualified for work on brakes."


def test_driver_as_agent__reason_asked_for_and_flagged(yard: Yard) -> None:
    defect = yard.finding("lamps.trailer.plate", finding="out")
    path, before = f"defects/{defect.number}/certify", everything()
    refused(acting_as("iris").post(path, certificate(), if_match=tag(defect)), 422, "agent_reason_needed", before)

    done = acting_as("iris").post(path, certificate(agent_reason="bulb changed, seen working"), if_match=tag(defect))

    assert done.status_code == 200
    assert done.json()["certificates"][0]["flags"] == ["driver_as_agent"]


@pytest.mark.parametrize(
    ("more", "pointer", "code"),
    [
        ({"signer": "01a20000-0000-7000-8000-000000000000"}, "/signature/signer", "unknown_field"),
        ({"outside_signer": "Rita"}, "/signature/outside_signer", "unknown_field"),
        ({"method": "stamp"}, "/signature/method", "invalid_choice"),
        ({"signed_at": "2026-03-06T12:00:00"}, "/signature/signed_at", "instant_without_offset"),
        ({"shown": "nul \u0000"}, "/signature/shown", "text_nul"),
    ],
)
def test_invalid_signature__is_refused_at_its_place(yard: Yard, more: dict[str, str], pointer: str, code: str) -> None:
    defect, before = yard.stroke(), everything()
    body = certificate(signature=signature(**more), measured=MEASURED)
    answer = acting_as("hob").post(f"defects/{defect.number}/certify", body, if_match=tag(defect))
    assert answer.status_code in {400, 422}
    assert codes(answer) == [(pointer, code)]
    assert everything() == before


def test_repair_unnecessary__deferred_until_its_limit(yard: Yard) -> None:
    defect = yard.finding(TAPE, finding="damaged")
    body = certificate(kind="repair_unnecessary", statement="holds", photo=photo_on(defect), limit_on="2026-03-14")
    done = acting_as("greta").post(f"defects/{defect.number}/certify", body, if_match=tag(defect))
    assert (done.status_code, done.json()["state"]) == (200, "deferred")
    assert done.json()["certificates"][0]["limit_on"] == "2026-03-14"
    assert done.json()["allowed_actions"] == ["certify_repaired", "supersede"]


def test_grade_regrade_and_error__over_http(yard: Yard) -> None:
    fault = yard.fault()
    graded = acting_as("hob").post(f"defects/{fault.number}/grade", MOVES["grade"][1], if_match=tag(fault))
    assert (graded.status_code, graded.json()["graded"], graded.json()["severity"]) == (200, True, "watch")
    raised = acting_as("hob").post(
        f"defects/{fault.number}/regrade",
        {"severity": "do_not_move", "bars": "movement", "reason": "wheel bearing"},
        if_match=graded.headers["ETag"],
    )
    assert (raised.status_code, len(raised.json()["holds"])) == (200, 1)
    stroke = yard.stroke()
    ended = acting_as("hob").post(
        f"defects/{stroke.number}/entered-in-error",
        {"reason": "other trailer", "measured": {**MEASURED, "value": "1.75"}, "signature": signature()},
        if_match=tag(stroke),
    )
    assert (ended.status_code, ended.json()["state"]) == (200, "entered_in_error")


def test_below_the_regulation__refused_with_the_rule(yard: Yard) -> None:
    defect, before = yard.stroke(), everything()
    answer = acting_as("hob").post(
        f"defects/{defect.number}/regrade",
        {"severity": "watch", "bars": "nothing", "reason": "dispatch needs it"},
        if_match=tag(defect),
    )
    body = refused(answer, 409, "below_regulation", before)
    assert body["rule"] == "brakes.service.pushrod-stroke#type-24-long"


def test_reopened__the_same_one_or_its_comeback_with_its_address(yard: Yard) -> None:
    defect = yard.stroke()
    yard.repaired_stroke(defect)
    same = acting_as("greta").post(f"defects/{defect.number}/reopen", {"reason": "2.12"}, if_match=tag(defect))
    assert (same.status_code, same.json()["number"], same.json()["state"]) == (200, defect.number, "reported")
    yard.repaired_stroke(defect)
    yard.review()
    other = acting_as("greta").post(f"defects/{defect.number}/reopen", {"reason": "2.12"}, if_match=tag(defect))
    assert (other.status_code, other.json()["comeback_of"]) == (201, defect.number)
    assert other.headers["Location"] == f"/api/v1/defects/{other.json()['number']}"


# Holds


def test_hold__placed_lifted_and_never_lifted_twice(yard: Yard) -> None:
    placed = acting_as("vera").post("holds", {"unit": "lr-46", "reason": "smells of fuel"})
    assert placed.status_code == 201, placed.content
    number, path = placed.json()["number"], placed.headers["Location"]
    assert path == f"/api/v1/holds/{number}"
    lift = {"signature": signature(), "reason": "a spill, washed off"}
    before = everything()
    refused(acting_as("hob").post(f"{path}/lift", lift), 428, "if_match_required", before)
    refused(acting_as("hob").post(f"{path}/lift", lift, if_match='"7"'), 412, "version_changed", before)

    lifted = acting_as("hob").post(f"{path}/lift", lift, if_match=placed.headers["ETag"])

    assert (lifted.status_code, lifted.json()["state"], lifted.json()["allowed_actions"]) == (200, "lifted", [])
    again = acting_as("ida").post(f"{path}/lift", lift, if_match=lifted.headers["ETag"])
    refused(again, 409, "action_not_allowed", everything())


def test_hold_before_the_repair_or_by_whoever_repaired__refused(yard: Yard) -> None:
    defect = yard.stroke()
    hold = Hold.objects.get(defect=defect)
    path, lift = f"holds/{hold.number}/lift", {"signature": signature()}
    answer = acting_as("hob").post(path, lift, if_match=f'"{hold_version_of(hold)}"')
    body = refused(answer, 409, "repairs_outstanding", everything())
    assert (body["hold"], body["defects"]) == (hold.number, [defect.number])
    yard.repaired_stroke(defect, "hob")
    answer = acting_as("hob").post(path, lift, if_match=f'"{hold_version_of(hold)}"')
    refused(answer, 403, "second_person_lifts", everything())


@pytest.mark.parametrize(
    ("body", "pointer", "code"),
    [
        ({"unit": "XX-1", "reason": "x"}, "/unit", "unit_unknown"),
        ({"unit": "LR-46", "reason": "x", "defect": "999999"}, "/defect", "defect_unknown"),
        ({"unit": "LR-46"}, "/reason", "required"),
        ({"unit": "LR-46", "reason": ""}, "/reason", "blank"),
    ],
)
@pytest.mark.usefixtures("yard")
def test_hold_on_nothing__refused(body: dict[str, str], pointer: str, code: str) -> None:
    before = everything()
    answer = acting_as("hob").post("holds", body)
    assert (answer.status_code, codes(answer)) == (422, [(pointer, code)])
    assert everything() == before


# Driver reviews


def test_review__what_is_due_signed_once_and_read_again(yard: Yard) -> None:
    defect = yard.stroke()
    (barred,) = acting_as("sol").get("driver-reviews/pending?unit=LR-46").json()["units"]
    assert barred["says"] == (
        f"LR-46: do not sign or drive. Certificates are missing: {defect.number}. Ask the foreman."
    )
    yard.repaired_stroke(defect)
    yard.walk(checks=[], unit=yard.tractor)
    owed = acting_as("sol").get("driver-reviews/pending?unit=NL-15&unit=LR-46").json()["units"]
    assert [item["says"] for item in owed] == [
        "NL-15: nothing waits for a driver's review.",
        "LR-46: read them, then sign. Defect reports: 1. Certificates: 1.",
    ]
    assert [(item["unit"]["number"], len(item["reports"]), item["missing"]) for item in owed] == [
        ("NL-15", 0, []),
        ("LR-46", 1, []),
    ]
    body = {
        "id": str(uuid7()),
        "units": ["NL-15", "LR-46"],
        "reports": [report["id"] for item in owed for report in item["reports"]],
        "certificates": [document["id"] for item in owed for document in item["certificates"]],
        "signature": signature(),
    }

    first = acting_as("sol").post("driver-reviews", body)
    again = acting_as("sol").post("driver-reviews", body)

    assert (first.status_code, again.status_code) == (201, 200), first.content
    assert again.json() == first.json() == acting_as("sol").get(f"driver-reviews/{body['id']}").json()
    assert first.headers["Location"] == f"/api/v1/driver-reviews/{body['id']}"
    assert DriverReview.objects.count() == 2
    assert Defect.objects.get(pk=defect.pk).state == "closed"
    assert acting_as("iris").get(f"driver-reviews/{body['id']}").status_code == 404
    assert acting_as("vera").get(f"driver-reviews/{body['id']}").status_code == 200


def test_review_of_something_else__refused_with_what_is_due(yard: Yard) -> None:
    yard.repaired_stroke(yard.stroke())
    body = {"id": str(uuid7()), "units": ["LR-46"], "reports": [], "certificates": [], "signature": signature()}
    found = refused(acting_as("sol").post("driver-reviews", body), 409, "review_not_current", everything())
    assert found["reports"] == [str(Report.objects.get().pk)]


@pytest.mark.parametrize("query", ["?unit=XX-1", "?unit=LR-46&unit=XX-1", "?unit=" + "&unit=".join(["LR-46"] * 9)])
@pytest.mark.usefixtures("yard")
def test_due_for_no_unit_of_ours__refused(query: str) -> None:
    answer = acting_as("sol").get(f"driver-reviews/pending{query}")
    assert (answer.status_code, codes(answer)) == (400, [("unit", "unit_unknown")])
    missing = acting_as("sol").get("driver-reviews/pending")
    assert (missing.status_code, codes(missing)) == (400, [("unit", "required")])


@pytest.mark.usefixtures("yard")
@pytest.mark.parametrize("key", ["5f6d2d6e-4c2b-4a55-9f0c-1de1b9d3a111", "5F6D2D6E-4C2B-1A55-9F0C-1DE1B9D3A111"])
def test_review_named_by_any_uuid__signed_once_under_it(key: str) -> None:
    body = {"id": key, "units": ["LR-46"], "reports": [], "certificates": [], "signature": signature()}
    for status in (201, 200):
        answer = acting_as("sol").post("driver-reviews", body)
        assert (answer.status_code, answer.json()["id"]) == (status, key.lower())
    assert acting_as("sol").get(f"driver-reviews/{key}").status_code == 200


ODD_SIGNATURES: dict[str, tuple[dict[str, Any], list[str]]] = {
    "no offset": ({"signed_at": "2026-03-06T11:59:00"}, ["instant_without_zone"]),
    "zero date": ({"signed_at": "0001-01-01T00:00:00Z"}, ["instant_out_of_reach", "clock_behind"]),
    "end of the calendar": ({"signed_at": "9999-12-31T00:00:00Z"}, ["instant_out_of_reach", "clock_ahead"]),
    "clock of tomorrow": ({"signed_at": (NOON + 1440 * MINUTE).isoformat()}, ["clock_ahead"]),
    "unknown way": ({"method": "thought"}, ["field_set_aside"]),
    "unknown field and too long": ({"pen": 1, "shown": "x" * 1001}, ["field_cut", "field_unknown"]),
    "three at once": (
        {"method": "thought", "signed_at": "soon", "shown": 7.5},
        ["field_set_aside", "field_set_aside", "field_of_other_kind"],
    ),
    "NUL": ({"device": "a\0"}, ["field_changed"]),
}


@pytest.mark.parametrize("name", ODD_SIGNATURES)
def test_review_or_refusal_signed_oddly__kept_flagged_and_whole(yard: Yard, name: str) -> None:
    odd, codes_expected = ODD_SIGNATURES[name]
    acts: dict[str, dict[str, Any]] = {
        "driver-reviews": {"units": ["LR-46"], "reports": [], "certificates": []},
        "refusals": {"unit": "NL-15", "reason": "smoke under the cab"},
    }
    for address, act in acts.items():
        body = {"id": str(uuid7()), **act, "signature": signature(**odd)}
        for status in (201, 200):
            answer = acting_as("sol").post(address, body)
            assert (answer.status_code, answer.json()["id"]) == (status, body["id"]), answer.content
            assert [flag["code"] for flag in answer.json()["flags"]] == codes_expected
        other = acting_as("sol").post(address, {**body, "note": "another body"})
        assert other.status_code == 409
        assert other.json()["code"] in {"review_differs", "refusal_differs"}
        assert json.loads(SentBody.objects.get(pk=body["id"]).text) == body
        kind = {"driver-reviews": "driver_reviewed", "refusals": "unit_refused"}[address]
        said = json.loads(HistoryEntry.objects.filter(kind=kind).latest("sequence").content.body)
        assert [query["code"] for query in said["flags"]] == codes_expected
        unsigned = acting_as("sol").post(address, {**body, "id": str(uuid7()), "signature": {}})
        assert (unsigned.status_code, codes(unsigned)) == (422, [("/signature", "unsigned")])
        nameless = acting_as("sol").post(address, {**body, "id": 7})
        assert (nameless.status_code, codes(nameless)) == (422, [("/id", "required")])


# Refusals


def test_refusal__own_copy_second_look_and_nobody_elses(yard: Yard) -> None:
    horn = yard.finding(HORN, finding="silent", unit=yard.tractor)
    body = {
        "id": str(uuid7()),
        "unit": "NL-15",
        "reason": "5 1/2 in of free play",
        "defects": [str(horn.number)],
        "signature": signature(),
    }

    made = acting_as("sol").post("refusals", body)

    assert made.status_code == 201, made.content
    assert (made.json()["state"], made.json()["defects"]) == ("waiting", [horn.number])
    assert made.json()["recipients"] == ["Cal Wick", "Hob Anselm", "Ida Fell"]
    assert sha256_hex(made.json()["copy"]) == made.json()["copy_sha256"]
    assert acting_as("sol").post("refusals", body).json() == made.json()
    path = f"refusals/{body['id']}"
    assert acting_as("sol").get(path).json()["copy"].startswith("Refusal to drive a unit")
    assert acting_as("iris").get(path).status_code == 404
    assert acting_as("cal").get(path).status_code == 404
    assert acting_as("hob").get(path).json()["copy"] == ""
    assert acting_as("vera").get(path).json()["copy"] == made.json()["copy"]
    assert [row["id"] for row in acting_as("hob").get("refusals", open="true").json()["results"]] == [body["id"]]
    assert acting_as("hob").get(path).json()["allowed_actions"] == ["second_look"]

    look = {"found": "wheel play within 5 1/4 in after tightening", "looked_at": NOON.isoformat()}
    looked = acting_as("hob").post(f"{path}/second-look", look)

    assert (looked.status_code, looked.json()["state"]) == (201, "looked_at")
    assert looked.json()["second_look"]["person"]["name"] == "Hob Anselm"
    refused(acting_as("greta").post(f"{path}/second-look", look), 409, "action_not_allowed", everything())
    assert acting_as("hob").get("refusals", open="true", unit="NL-15").json()["results"] == []
    assert len(acting_as("sol").get("refusals").json()["results"]) == 1
    assert acting_as("iris").get("refusals").json()["results"] == []


@pytest.mark.parametrize(
    ("odd", "code"),
    [
        ({"reason": 17}, "field_of_other_kind"),
        ({"reason": ""}, "field_missing"),
        ({"reason": None}, "field_missing"),
        ({"hazard": "smoke"}, "field_unknown"),
    ],
)
@pytest.mark.usefixtures("yard")
def test_refusal_with_something_odd__flagged_for_the_driver_and_the_foreman(odd: dict[str, Any], code: str) -> None:
    body = {"id": str(uuid7()), "unit": "NL-15", "reason": "smoke", "signature": signature(), **odd}
    made = acting_as("sol").post("refusals", body)
    assert made.status_code == 201, made.content
    [flag] = made.json()["flags"]
    assert flag["code"] == code
    assert acting_as("hob").get("refusals").json()["results"][0]["flags"] == [flag]


def test_refusal_naming_defects_that_are_none_of_the_unit__kept_and_flagged(yard: Yard) -> None:
    horn = yard.finding(HORN, finding="silent", unit=yard.tractor)
    others = [str(yard.stroke().number), "4040404", str(uuid7()), "the horn", "9" * 30]
    body: dict[str, Any] = {
        "id": str(uuid7()),
        "unit": "NL-15",
        "reason": "5 1/2 in of free play",
        "defects": [str(horn.number), *others, str(horn.pk)],
        "signature": signature(),
    }

    for status in (201, 200):
        made = acting_as("sol").post("refusals", body)
        assert (made.status_code, made.json()["defects"]) == (status, [horn.number]), made.content
    flags = acting_as("hob").get(f"refusals/{body['id']}").json()["flags"]
    assert [flag["code"] for flag in flags] == ["defect_not_of_unit"] * len(others)
    assert flags[1]["detail"] == "Defect 4040404 is none of this unit. Kept as sent."

    assert json.loads(SentBody.objects.get(pk=body["id"]).text) == body
    said = json.loads(HistoryEntry.objects.filter(kind="unit_refused").latest("sequence").content.body)
    assert said["flags"] == [{"code": "defect_not_of_unit", "facts": {"defect": name}} for name in others]


# Moves


def test_yard_move__recorded_and_listed(yard: Yard) -> None:
    site = make_site("North Yard")
    yard.stroke()
    body = {
        "unit": "LR-46",
        "site": site.code,
        "from_place": "row 4",
        "to_place": "bay 2",
        "reason": "to be repaired",
        "moved_at": NOON.isoformat(),
    }
    made = acting_as("iris").post("yard-moves", body)
    assert made.status_code == 201, made.content
    assert [row["id"] for row in acting_as("cal").get("yard-moves", unit="LR-46").json()["results"]] == [
        made.json()["id"]
    ]
    assert acting_as("cal").get("yard-moves", unit="NL-15").json()["results"] == []
    yard.officers_order(Defect.objects.get())
    refused(acting_as("iris").post("yard-moves", body), 409, "order_forbids_move", everything())
    assert codes(acting_as("iris").post("yard-moves", {**body, "site": "nowhere"})) == [("/site", "site_unknown")]


def limited(yard: Yard, **more: Any) -> dict[str, Any]:
    return {
        "unit": "LR-46",
        "found_on_highway": True,
        "found_at_place": "I-80 eastbound, mile 142",
        "to_place": "Crookspoke Road Tire",
        "distance_mi": "4.5",
        "why_nearest": "the next one is 31 miles on",
        "why_less_hazardous": "no shoulder, in the dark",
        "driver": str(yard["sol"].pk),
        "driver_consented_at": NOON.isoformat(),
        "ends_at": (NOON + dt.timedelta(hours=2)).isoformat(),
        **more,
    }


def test_limited_move__allowed_ended_and_listed(yard: Yard) -> None:
    yard.stroke()
    made = acting_as("hob").post("limited-moves", limited(yard))
    assert (made.status_code, made.json()["state"], made.json()["distance_mi"]) == (201, "allowed", "4.5")
    assert len(acting_as("cal").get("limited-moves", open="true").json()["results"]) == 1
    ended = acting_as("sol").post(f"limited-moves/{made.json()['id']}/end", {"ended_at": NOON.isoformat()})
    assert (ended.status_code, ended.json()["state"]) == (200, "ended")
    assert acting_as("cal").get("limited-moves", open="true").json()["results"] == []


def test_limited_move_without_its_conditions__refused_at_each(yard: Yard) -> None:
    yard.stroke()
    before = everything()
    answer = acting_as("hob").post("limited-moves", limited(yard, found_on_highway=False, driver=str(yard["greta"].pk)))
    refused(answer, 422, "limited_move_refused", before)
    assert codes(answer) == [("/found_on_highway", "only_from_the_highway"), ("/driver", "not_a_driver")]
    for name in ("why_nearest", "why_less_hazardous", "driver_consented_at", "distance_mi", "ends_at"):
        body = limited(yard)
        del body[name]
        missing = acting_as("hob").post("limited-moves", body)
        assert (missing.status_code, codes(missing)) == (422, [(f"/{name}", "required")])
    assert everything() == before


# Photos


@pytest.mark.usefixtures("media")
def test_photo__sent_under_its_hash_and_served_without_its_notes(yard: Yard) -> None:
    content = jpeg()
    sha256 = sha256_hex(content)
    yard.walk(checks=[answer_to(TAPE, "defect", finding="damaged", photos=(sha256,))])
    [photo] = acting_as("greta").get(f"defects/{Defect.objects.get().number}").json()["photos"]
    path = photo["url"].removeprefix("/api/v1/")

    first = acting_as("iris").put_file(path, content, "image/jpeg")
    again = acting_as("iris").put_file(path.replace(sha256, sha256.upper()), content, "image/jpeg")

    assert (first.status_code, again.status_code, Photo.objects.count()) == (201, 204, 1)
    for by, original in (("greta", False), ("cal", False), ("vera", True)):
        served = acting_as(by).get(path)
        assert (served.status_code, served.headers["Content-Type"]) == (200, "image/jpeg")
        assert (served.content == content) is original
        assert (b"a phone" in served.content) is original
        kept = "no-store" if original else "private, max-age=31536000, immutable"
        assert served.headers["Cache-Control"] == kept


@pytest.mark.usefixtures("media")
def test_photo_that_does_not_belong__refused(yard: Yard, media: Path) -> None:
    content = jpeg()
    sha256 = sha256_hex(content)
    yard.walk(checks=[answer_to(TAPE, "defect", finding="damaged", photos=(sha256, "e" * 64))])
    walkaround = Report.objects.get().walkaround_id
    before = everything()
    for by, path, media_type, status, code in (
        ("iris", f"walkarounds/{walkaround}/photos/{'d' * 64}", "image/jpeg", 422, "photo_not_named"),
        ("iris", f"walkarounds/{walkaround}/photos/{'e' * 64}", "image/jpeg", 422, "file_hash_differs"),
        ("iris", f"walkarounds/{walkaround}/photos/{sha256}", "image/png", 422, "file_mislabelled"),
        ("sol", f"walkarounds/{walkaround}/photos/{sha256}", "image/jpeg", 404, "walkaround_unknown"),
        ("iris", f"walkarounds/{walkaround}/photos/{sha256[:-1]}", "image/jpeg", 404, "photo_unknown"),
        ("iris", "defects/999999/photos/" + sha256, "image/jpeg", 404, "defect_unknown"),
    ):
        refused(acting_as(by).put_file(path, content, media_type), status, code, before)
    refused(acting_as("iris").get(f"walkarounds/{walkaround}/photos/{sha256}"), 404, "photo_unknown", before)
    assert not list(media.rglob("*.part-*"))


@pytest.mark.usefixtures("media")
@pytest.mark.parametrize("media_type", ["", "application/octet-stream", "image/jpg", "IMAGE/PJPEG"])
def test_photo_of_vague_media_type__is_typed_by_its_content(yard: Yard, media_type: str) -> None:
    content = jpeg()
    sha256 = sha256_hex(content)
    yard.walk(checks=[answer_to(TAPE, "defect", finding="damaged", photos=(sha256,))])
    path = f"walkarounds/{Report.objects.get().walkaround_id}/photos/{sha256}"
    assert acting_as("iris").put_file(path, content, media_type).status_code == 201
    assert acting_as("iris").get(path).headers["Content-Type"] == "image/jpeg"


@pytest.mark.usefixtures("media")
def test_photos_sent_too_fast__are_slowed_and_told_when_to_come(yard: Yard, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(photos, "MOST_PHOTOS", 1)
    first, second = jpeg(), jpeg("green")
    yard.walk(checks=[answer_to(TAPE, "defect", finding="damaged", photos=(sha256_hex(first), sha256_hex(second)))])
    walkaround = Report.objects.get().walkaround_id

    answers = [
        acting_as("iris").put_file(f"walkarounds/{walkaround}/photos/{sha256_hex(content)}", content, "image/jpeg")
        for content in (first, second)
    ]

    assert [answer.status_code for answer in answers] == [201, 429]
    assert answers[1].json()["code"] == "photos_too_fast"
    assert 0 < int(answers[1].headers["Retry-After"]) <= 600


@pytest.mark.usefixtures("media")
def test_photo_of_a_repair__proves_it(yard: Yard) -> None:
    defect = yard.finding(TAPE, finding="damaged")
    content = jpeg()
    sha256 = sha256_hex(content)
    assert (
        acting_as("sam").put_file(f"defects/{defect.number}/photos/{sha256}", content, "image/jpeg").status_code == 201
    )
    body = certificate(statement="new tape", photo=sha256)
    done = acting_as("sam").post(f"defects/{defect.number}/certify", body, if_match=tag(defect))
    assert done.status_code == 200, done.content
    assert done.json()["photos"][0]["url"] == f"/api/v1/defects/{defect.number}/photos/{sha256}"


def test_person_who_also_drives__may_do_what_each_role_may(yard: Yard) -> None:
    yard["hob"].roles.create(role=Role.DRIVER, starts_on=dt.date(2026, 1, 1))
    yard.walk(checks=[])
    body = {"id": str(uuid7()), "units": ["LR-46"], "reports": [], "certificates": [], "signature": signature()}
    assert acting_as("hob").post("driver-reviews", body).status_code == 201
