"""Signing by a link over HTTP: by one without a sign-in, who sees what is signed for, once, and never in an address."""

import io
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from common.canonical import sha256_hex
from defects.models import Certificate, Defect, Hold, SigningLink
from fleet.models import Person, SignInAttempt
from fleet.rules.people.tokens import link_token_hash
from tests.factories.fleet import NOON
from tests.support.acting import Device, acting_as, codes
from tests.support.yard import MINUTE, TAPE, Yard, hold_version_of, version_of

RITA = {"name": "Rita Vale", "firm": "Mile Nine Brakes"}
MEASURED = {"value": "1.62", "unit_of_measure": "in", "measured_at": (NOON - MINUTE).isoformat()}
SIGNATURE = {"method": "drawn", "signed_at": NOON.isoformat(), "shown": "I did this work."}


def photo() -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (4, 4), "white").save(file, "PNG")
    return file.getvalue()


def link_for(*defects: Defect, by: str = "hob") -> str:
    made = acting_as(by).post("signing-links", {"defects": [str(defect.number) for defect in defects]})
    assert made.status_code == 201, made.content
    assert made.headers["Cache-Control"] == "no-store"
    token: str = made.json()["token"]
    return token


def send(token: str, method: str, path: str = "signing-link", body: object = None, **more: Any) -> Any:
    """As a browser without any sign-in sends it."""
    return Device().send(method, path, body, headers={"Signing-Link": token}, **more)


def with_photo(token: str) -> str:
    sent = send(token, "PUT", f"signing-link/photos/{sha256_hex(photo())}", body=photo(), media_type="image/png")
    assert sent.status_code == 201, sent.content
    return sha256_hex(photo())


def signed(defect: Defect, sha256: str, **more: Any) -> dict[str, Any]:
    item = {"defect": defect.number, "statement": "adjuster replaced", "photo": sha256, **more}
    return {**RITA, "certificates": [item], "signature": SIGNATURE}


def test_one_foreman_alone__cannot_invent_a_signer_and_lift(yard: Yard, media: Path) -> None:
    stroke = yard.stroke()
    hold, hob = Hold.objects.get(defect=stroke), acting_as("hob")
    body = {
        "kind": "repaired",
        "statement": "done",
        "measured": MEASURED,
        "signature": {**SIGNATURE, "outside_signer": RITA},
    }
    typed = hob.post(f"defects/{stroke.number}/certify", body, if_match=f'"{version_of(stroke)}"')
    assert codes(typed) == [("/signature/outside_signer", "unknown_field")]
    token = link_for(stroke)
    given = signed(stroke, with_photo(token), measured=MEASURED)
    refused = send(token, "POST", body=given)
    assert codes(refused) == [("/brake_evidence", "brake_evidence_needed")]
    made = send(token, "POST", body={**given, "brake_evidence": "the shop manager"})
    assert (made.status_code, made.json()) == (201, {"defects": [stroke.number], "firm_to_confirm": "Mile Nine Brakes"})
    [shown] = hob.get(f"defects/{stroke.number}").json()["certificates"]
    assert (shown["signed_by"]["name"], shown["firm"], shown["flags"]) == ("Rita Vale", "Mile Nine Brakes", ["by_link"])
    [owed] = acting_as("sol").get("driver-reviews/pending?unit=LR-46").json()["units"]
    assert [row["firm"] for row in owed["certificates"]] == ["Mile Nine Brakes"]
    for confirmation in ({}, {"firm": "Mile Nine Brakes", "how": "I know them", "brake_evidence": "they have it"}):
        if confirmation:
            assert hob.post("firm-confirmations", confirmation).status_code == 201
        lift = {"signature": {**SIGNATURE, "signed_at": NOON.isoformat()}}
        answer = hob.post(f"holds/{hold.number}/lift", lift, if_match=f'"{hold_version_of(hold)}"')
        assert (answer.status_code, answer.json()["code"]) == (409, "firm_not_confirmed")
    confirmation = {"firm": "Mile Nine Brakes", "how": "rang them", "brake_evidence": "the shop manager"}
    assert acting_as("cal").post("firm-confirmations", confirmation).status_code == 201
    alone = hob.post(f"holds/{hold.number}/lift", lift, if_match=f'"{hold_version_of(hold)}"')
    assert (alone.status_code, alone.json()["code"]) == (403, "second_person_lifts")
    page = acting_as("ida").get(f"holds/{hold.number}")
    assert page.json()["waits_for"][0]["firm_to_confirm"] == ""
    other = acting_as("ida").post(f"holds/{hold.number}/lift", lift, if_match=page.headers["ETag"])
    assert other.status_code == 200


def test_opened__says_what_is_signed_for_and_under_which_sentence(yard: Yard) -> None:
    stroke = yard.stroke()
    shown = send(link_for(stroke, by="sol"), "GET")
    assert (shown.status_code, shown.headers["Cache-Control"]) == (200, "no-store")
    body = shown.json()
    [row] = body["defects"]
    assert (body["made_by"], body["sentence"]) == ("Sol Marrin", "I did this work, and these faults are repaired.")
    assert (row["defect"], row["unit"]["number"], row["value"], row["limit"], row["of_brakes"]) == (
        stroke.number,
        "LR-46",
        "2.31",
        "2",
        True,
    )


def test_link_of_nothing_unknown_used_or_revoked__looks_the_same(yard: Yard, media: Path) -> None:
    tape = yard.finding(TAPE, finding="damaged")
    used, revoked = link_for(tape), link_for(tape, by="sol")
    key = SigningLink.objects.order_by("pk").last()
    assert key is not None
    assert acting_as("iris").delete(f"signing-links/{key.pk}").status_code == 404
    assert acting_as("sol").delete(f"signing-links/{key.pk}").status_code == 204
    sha256 = with_photo(used)
    by_key = signed(tape, sha256)
    by_key["certificates"][0]["defect"] = str(tape.pk)
    assert send(used, "POST", body=by_key).status_code == 201
    assert Person.objects.get(name="Rita Vale").username is None
    for token in ("", "x", "rcs_" + "A" * 43, used, revoked):
        for method, path in (("GET", "signing-link"), ("POST", "signing-link")):
            answer = send(token, method, path, body=signed(tape, sha256) if method == "POST" else None)
            assert (answer.status_code, answer.json()["code"]) == (404, "link_unknown"), (token, method)
    assert Certificate.objects.count() == 1


def test_guessed_from_one_address__told_to_wait(yard: Yard) -> None:
    good = link_for(yard.finding(TAPE, finding="damaged"))
    assert send("rcs_" + "B" * 43, "GET").status_code == 404
    counted = SignInAttempt.objects.get()
    assert (counted.subject, counted.failures) == ("address 127.0.0.1", 1)
    SignInAttempt.objects.update(failures=59)
    answers = [send(token, "GET") for token in ("rcs_" + "C" * 43, "rcs_" + "D" * 43)]
    assert [answer.status_code for answer in answers] == [404, 429]
    assert int(answers[-1].headers["Retry-After"]) > 0
    assert send(good, "GET").status_code == 200


def test_used_or_revoked_link_opened_again__does_not_count_as_a_guess(yard: Yard) -> None:
    tape = yard.finding(TAPE, finding="damaged")
    used, revoked = link_for(tape), link_for(tape, by="sol")
    SigningLink.objects.filter(token_hash=link_token_hash(used)).update(used_at=yard.later())
    SigningLink.objects.filter(token_hash=link_token_hash(revoked)).update(revoked_at=yard.later())
    assert [send(token, "GET").status_code for token in (used, revoked)] == [404, 404]
    assert not SignInAttempt.objects.exists()


def test_links__listed_for_their_maker_and_for_who_keeps_the_record(yard: Yard) -> None:
    tape = yard.finding(TAPE, finding="damaged")
    link_for(tape, by="sol")
    for by, there in (("sol", 1), ("iris", 0), ("hob", 1), ("vera", 1)):
        rows = acting_as(by).get("signing-links", defect=str(tape.number)).json()["results"]
        assert [row["state"] for row in rows] == ["open"] * there
        assert all("token" not in row and row["defects"] == [tape.number] for row in rows)


@pytest.mark.parametrize(("field", "code"), [("firm", "blank"), ("name", "blank")])
def test_without_a_name_or_a_firm__refused(yard: Yard, media: Path, field: str, code: str) -> None:
    tape = yard.finding(TAPE, finding="damaged")
    token = link_for(tape)
    answer = send(token, "POST", body={**signed(tape, with_photo(token)), field: " "})
    assert (answer.status_code, codes(answer)) == (422, [(f"/{field}", code)])


def test_firm_confirmed__listed_with_who_and_how(yard: Yard) -> None:
    body = {"firm": "Mile Nine Brakes", "how": "rang them"}
    assert acting_as("cal").post("firm-confirmations", body).status_code == 201
    [row] = acting_as("vera").get("firm-confirmations", firm="mile nine brakes").json()["results"]
    assert (row["how"], row["brake_evidence"], row["confirmed_by"]["name"]) == ("rang them", "", "Cal Wick")


def test_second_look_by_a_link__over_http_and_one_thing_for_each_link(yard: Yard) -> None:
    refusal = yard.refuse(unit=yard.trailer, reason="pulls to the left")
    both = {"defects": ["1001"], "refusal": str(refusal.pk)}
    for body in (both, {}):
        assert codes(acting_as("hob").post("signing-links", body)) == [("/refusal", "link_for_one_thing")]
    made = acting_as("hob").post("signing-links", {"refusal": str(refusal.pk)})
    assert (made.status_code, made.json()["refusal"], made.json()["defects"]) == (201, str(refusal.pk), [])
    token = made.json()["token"]
    shown = send(token, "GET").json()
    assert (shown["refusal"]["unit"]["number"], shown["refusal"]["reason"], shown["sentence"]) == (
        "LR-46",
        "pulls to the left",
        "I looked at this unit, and found what I wrote.",
    )
    found = {**RITA, "signature": SIGNATURE, "found": "brakes even", "looked_at": NOON.isoformat()}
    waits = send(token, "POST", "signing-link/second-look", body=found)
    assert (waits.status_code, waits.json()["code"]) == (409, "firm_confirmed_first")
    assert acting_as("cal").post("firm-confirmations", {"firm": RITA["firm"], "how": "rang them"}).status_code == 201
    looked = send(token, "POST", "signing-link/second-look", body=found)
    assert (looked.status_code, looked.json()["found"]) == (201, "brakes even")
    page = acting_as("hob").get(f"refusals/{refusal.pk}").json()
    assert (page["state"], page["second_look"]["person"]["name"]) == ("looked_at", "Rita Vale")
