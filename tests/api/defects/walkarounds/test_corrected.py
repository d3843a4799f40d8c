"""Faults put right on the spot: what ends with the driver's signature as the carrier's agent, and what does not."""

from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from pytest_django import Settings

from common import clock
from common.canonical import sha256_hex
from common.ids import uuid7
from defects.models import Certificate, Defect, Hold, Report
from tests.factories.defects import photo_of
from tests.factories.fleet import NOON
from tests.support.acting import acting_as
from tests.support.contents import contents, more_rows
from tests.support.defects import lift, reviewed
from tests.support.pictures import jpeg
from tests.support.walks import body, check, put
from workorders.models import RepairOrder, RepairTask

MINUTE, HOUR = timedelta(minutes=1), timedelta(hours=1)
LAMP, MARKER, CLEAN, TIRE, PRESSURE = (
    "lamps.trailer.turn",
    "lamps.trailer.markers",
    "inside.cleanliness",
    "tires.trailer.body",
    "tires.trailer.pressure",
)
PHOTO = "a" * 64
DONE = {"what": "lamp changed, works", "by": "Ada Brisk", "photo": PHOTO}


def report(*checks: dict[str, Any], by: str = "ada", at: datetime | None = None) -> Any:
    return put(acting_as(by), body([{"unit": "LR-47", "checks": list(checks)}], finished_at=at or clock.now()))


def corrected(point: str = LAMP, place: str = "left", correction: dict[str, str] | None = None, **more: str) -> Any:
    done = DONE if correction is None else correction
    return check(point, place, "corrected", correction=done, **more)


def lamp_out(at: datetime = NOON - 2 * HOUR) -> Defect:
    report(check(LAMP, "left", "defect"), by="tomo", at=at)
    return Defect.objects.get()


def found(receipt: Any) -> list[str]:
    return [row["how"] for row in receipt["units"][0]["found"]]


def flags(receipt: Any) -> list[str]:
    return [item["code"] for item in receipt["units"][0]["flags"]]


def test_open_defect_corrected__certified_as_the_carriers_agent_and_its_hold_stays() -> None:
    defect = lamp_out()
    device = acting_as("ada")
    before = contents()

    receipt = put(device, body([{"unit": "LR-47", "checks": [corrected()]}], finished_at=NOON - HOUR))

    assert more_rows(before, contents()) == {
        "defects_walkaround": 1,
        "defects_report": 1,
        "defects_certificate": 1,
        "defects_certificate_worked_by": 1,
        "fleet_signature": 2,
        "fleet_historyentry": 5,
        "fleet_historycontent": 5,
    }
    defect.refresh_from_db()
    certificate = Certificate.objects.get()
    assert (defect.state, defect.current_certificate, defect.closed_at) == ("certified", certificate, None)
    assert (certificate.kind, certificate.corrected_on_the_spot, certificate.photo_sha256) == ("repaired", True, PHOTO)
    assert (certificate.certified_at, certificate.recorded_at) == (NOON - HOUR, NOON)
    assert [person.username for person in certificate.worked_by.all()] == ["ada"]
    assert (certificate.signature.signer.username, certificate.signature.purpose) == ("ada", "correction")
    assert certificate.signature.shown == certificate.statement
    unit = receipt["units"][0]
    assert unit["corrected"] == [
        {
            "defect": defect.number,
            "what": "Trailer turn signal, left: out",
            "certificate": "repaired",
            "statement": "Corrected on the spot by Ada Brisk: lamp changed, works",
        }
    ]
    assert (unit["found"], unit["flags"]) == ([], [])
    hold = Hold.objects.get()
    assert receipt["says"].startswith(
        f"LR-47: hold {hold.number} is active: Trailer turn signal, left: out. Do not move it. "
        "Received. Your corrections are recorded. Request clearance before you roll."
    )
    assert hold.lifted_at is None
    assert (RepairTask.objects.get().state, RepairOrder.objects.get().state) == ("done", "closed")
    assert [entry.kind for entry in defect.unit.history.order_by("sequence")][-5:] == [
        "report_signed",
        "fault_corrected_on_the_spot",
        "repair_task_done",
        "repair_order_work_done",
        "repair_order_closed",
    ]


@pytest.mark.parametrize("arrives", [True, False], ids=["the photo named", "another one of the repair"])
def test_its_hold__is_lifted_by_a_foreman_once_a_photo_is_here(arrives: bool) -> None:
    """The phone sends its photos when it can; one that never comes, or is no picture, proves nothing."""
    defect = lamp_out()
    photo_of(defect, "c" * 64, received_at=NOON - 2 * HOUR)
    report(corrected(), at=NOON - HOUR)
    photo_of(lamp_of_another_unit(), PHOTO)
    photo_of(defect, "d" * 64, is_picture=False)
    before = contents()
    refused = lift("hob", Hold.objects.get(defect=defect))
    assert (refused.status_code, refused.json()["code"]) == (409, "photo_not_arrived")
    assert refused.json()["defects"] == [defect.number]
    assert more_rows(before, contents()) == {"fleet_devicetoken": 1}
    awaited, version = page_of_hold(defect)
    assert awaited

    photo_of(defect, PHOTO if arrives else "b" * 64)

    awaited, newer = page_of_hold(defect)
    assert (awaited, newer != version) == (False, True)
    assert lift("hob", Hold.objects.get(defect=defect)).status_code == 200


def page_of_hold(defect: Defect) -> tuple[bool, str]:
    """Whether the hold waits for a photo, and the version of what its page shows."""
    page = acting_as("hob").get(f"holds/{Hold.objects.get(defect=defect).number}")
    (waited_for,) = page.json()["waits_for"]
    return waited_for["photo_awaited"], page.headers["ETag"]


def lamp_of_another_unit() -> Defect:
    walk = body([{"unit": "LR-41", "checks": [check(LAMP, "left", "defect")]}], finished_at=NOON - HOUR)
    put(acting_as("tomo"), walk)
    return Defect.objects.get(unit__number="LR-41")


def test_its_photo_never_arrives__unknown_to_dispatch_and_not_closed_until_one_does(
    tmp_path: Path, settings: Settings
) -> None:
    settings.MEDIA_ROOT = tmp_path / "media"
    picture = jpeg()
    report(check(MARKER, "rear-left", "defect"), by="tomo", at=NOON - 2 * HOUR)
    walk = body(
        [{"unit": "LR-47", "checks": [corrected(MARKER, "rear-left", {**DONE, "photo": sha256_hex(picture)})]}],
        finished_at=NOON - HOUR,
    )
    put(acting_as("ada"), walk)
    corrected_on = Report.objects.latest("performed_at")
    reviewed("iris", "LR-47")
    defect = Defect.objects.get()
    assert (defect.state, Hold.objects.exists()) == ("certified", False)

    [row] = awaited_photos()

    assert row["says"] == (
        "LR-47: Trailer clearance, identification or side marker lamp, rear left: out or very dim. "
        "The photo of its repair has not arrived. Send it."
    )
    assert row["ends"] == "when the photo of the repair is uploaded"
    sent = acting_as("ada").put_file(
        f"walkarounds/{corrected_on.walkaround_id}/photos/{sha256_hex(picture)}", picture, "image/jpeg"
    )
    assert sent.status_code == 201, sent.content
    defect.refresh_from_db()
    assert (defect.state, awaited_photos()) == ("closed", [])
    assert "defect_closed" in [entry.kind for entry in defect.unit.history.all()]


def awaited_photos() -> list[dict[str, Any]]:
    """What dispatch is told of photos that have not arrived, as neither a bar nor a step."""
    asked = acting_as("cal").post("clearances", {"units": ["LR-47"], "arrival": (NOON + HOUR).isoformat()})
    assert asked.status_code == 201, asked.content
    return [row for row in asked.json()["unknown"] if row["code"] == "photo_awaited"]


def test_hold_of_a_repair_without_its_photo__says_so() -> None:
    lamp_out()
    report(corrected(), at=NOON - HOUR)
    asked = acting_as("cal").post("clearances", {"units": ["LR-47"], "arrival": (NOON + HOUR).isoformat()}).json()
    [says] = [row["says"] for row in asked["reasons"] if row["code"] == "carrier_hold"]
    assert says.endswith("Trailer turn signal, left: out. The photo of its repair has not arrived. Send it.")
    assert "photo_awaited" not in {row["code"] for row in asked["unknown"]}


def test_found_and_corrected_on_one_walk__no_defect_no_hold_and_no_review_due() -> None:
    receipt = report(corrected())

    assert (found(receipt), flags(receipt)) == ([], [])
    assert not Defect.objects.exists()
    stored = Report.objects.get()
    assert (stored.review_due, stored.checks[0]["verdict"]["outcome"]) == (False, "corrected")
    assert {name: stored.checks[0][f"corrected_{name}"] for name in DONE} == DONE
    assert [entry.kind for entry in stored.unit.history.order_by("sequence")][-2:] == [  # type: ignore[union-attr]
        "report_signed",
        "fault_corrected_on_the_spot",
    ]


@pytest.mark.parametrize("missing", sorted(DONE))
def test_correction_that_lacks_something__a_finding_and_no_correction(missing: str) -> None:
    proof = {name: value for name, value in DONE.items() if name != missing}

    receipt = report(corrected(correction=proof))

    assert (found(receipt), flags(receipt)) == (["new"], ["correction_incomplete"])
    assert Hold.objects.exists()
    assert not Certificate.objects.exists()


def test_open_defect_and_a_correction_without_a_photo__seen_again_and_not_ended() -> None:
    defect = lamp_out()

    receipt = report(corrected(correction={"what": "lamp changed", "by": "Ada Brisk"}), at=NOON - HOUR)

    defect.refresh_from_db()
    assert (found(receipt), defect.state, defect.current_certificate) == (["seen_again"], "reported", None)


def test_correction_after_which_the_value_still_fails__a_finding() -> None:
    receipt = report(corrected(PRESSURE, "axle-1-left-outer", value="40", unit_of_measure="psi"))

    assert (found(receipt), flags(receipt)) == (["new"], ["correction_still_fails"])
    assert not Certificate.objects.exists()


PINS = "suspension.slider-pins"


@pytest.mark.parametrize(
    ("point", "place", "past", "within", "unit_of_measure"),
    [(PRESSURE, "axle-1-left-outer", "40", "100", "psi"), (PINS, "", "3", "4", "count")],
    ids=["evidence is a measurement", "measured when it was found"],
)
def test_measured_fault_corrected__only_with_a_value_within_its_limit(
    point: str, place: str, past: str, within: str, unit_of_measure: str
) -> None:
    """The driver as the carrier's agent owes what the shop owes: a photo alone shows no pressure and no pin count."""
    report(check(point, place, value=past, unit_of_measure=unit_of_measure), by="tomo", at=NOON - 3 * HOUR)
    before = Defect.objects.values().get()

    receipt = report(corrected(point, place), at=NOON - 2 * HOUR)

    assert (found(receipt), flags(receipt)) == ([], ["value_missing"])
    assert receipt["units"][0]["corrected"] == []
    assert Defect.objects.values().get() == before
    assert not Certificate.objects.exists()
    report(corrected(point, place, value=within, unit_of_measure=unit_of_measure), at=NOON - HOUR)
    assert (Defect.objects.get().state, Certificate.objects.get().kind) == ("certified", "repaired")


def test_fault_that_nobody_corrects_on_the_spot__a_finding() -> None:
    receipt = report(corrected(TIRE, "axle-1-left-outer"))
    assert (found(receipt), flags(receipt)) == (["new"], ["not_correctable_on_the_spot"])


def test_correction_of_the_carriers_own_point__closes_it_at_once() -> None:
    report(check(CLEAN, answer="defect"), by="tomo", at=NOON - 2 * HOUR)

    report(corrected(CLEAN, "", {"what": "swept and washed", "by": "Ada Brisk", "photo": PHOTO}), at=NOON - HOUR)

    defect = Defect.objects.get()
    assert (defect.state, defect.closed_at) == ("closed", NOON)


def test_corrected_twice_on_one_walk__certified_once() -> None:
    lamp_out()
    receipt = report(corrected(), corrected(), at=NOON - HOUR)
    assert len(receipt["units"][0]["corrected"]) == Certificate.objects.count() == 1


@pytest.mark.parametrize("order", [1, -1])
def test_corrected_and_reported_in_one_report__still_there(order: int) -> None:
    defect = lamp_out()

    receipt = report(*[corrected(), check(LAMP, "left", "defect")][::order], at=NOON - HOUR)

    defect.refresh_from_db()
    assert (found(receipt), defect.state) == (["seen_again"], "reported")
    assert receipt["units"][0]["corrected"] == []
    assert not Certificate.objects.exists()


def test_correction_from_before_the_fault_was_found__ends_nothing() -> None:
    """It comes late: what was put right at ten is not what was found at eleven."""
    defect = lamp_out(at=NOON - HOUR)

    receipt = report(corrected(), at=NOON - 2 * HOUR)

    defect.refresh_from_db()
    ended = [row["defect"] for row in receipt["units"][0]["corrected"]]
    assert (defect.state, ended) == ("reported", [None])
    assert not Certificate.objects.exists()


def test_correction_from_before_the_fault_was_seen_again__ends_nothing() -> None:
    defect = lamp_out(at=NOON - 3 * HOUR)
    report(check(LAMP, "left", "defect"), by="sol", at=NOON - HOUR)

    report(corrected(), at=NOON - 2 * HOUR)

    defect.refresh_from_db()
    assert (defect.state, defect.current_certificate) == ("reported", None)


def test_correction_at_another_place__ends_nothing() -> None:
    defect = lamp_out()
    report(corrected(place="right"), at=NOON - HOUR)
    defect.refresh_from_db()
    assert defect.state == "reported"


def test_correction_by_a_phone_whose_clock_is_lost__ends_nothing() -> None:
    defect = lamp_out()
    report(corrected(), at=NOON + 5 * HOUR)
    defect.refresh_from_db()
    assert defect.state == "reported"
    assert not Certificate.objects.exists()


def test_found_again_after_the_correction__a_comeback_of_it() -> None:
    defect = lamp_out()
    report(corrected(), at=NOON - HOUR)

    report(check(LAMP, "left", "defect"), by="sol", at=NOON - MINUTE)

    again = Defect.objects.exclude(pk=defect.pk).get()
    assert again.comeback_of == defect


def test_fault_that_nobody_had_reported__told_as_corrected_without_a_certificate_also_on_a_replay() -> None:
    key, given = uuid7(), body([{"unit": "LR-47", "checks": [corrected()]}], finished_at=NOON)

    first = put(acting_as("ada"), given, key)
    again = put(acting_as("ada"), given, key, status=200)

    for receipt in (first, again):
        assert receipt["units"][0]["corrected"] == [
            {"defect": None, "what": "Trailer turn signal, left", "certificate": None, "statement": DONE["what"]}
        ]
    assert not Certificate.objects.exists()
