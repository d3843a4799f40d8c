"""A report on a unit that nobody knew is bound to its unit: judged there as of its own time, once, with its history."""

from datetime import timedelta
from typing import Any

import pytest

from common import clock
from common.ids import uuid7
from defects.models import Certificate, Defect, Hold, Measurement, Report, Sighting
from fleet.models import HistoryEntry, MeterReading, Notification, Unit
from fleet.services.notifications.endings import still_active
from tests.support.acting import Device, acting_as
from tests.support.walks import body, check, put, stroke, walk_list, whole

FLAT = check("tires.trailer.body", "axle-1-left-outer", "defect", finding="cord_showing", note="cord all round")

OUT = check("lamps.trailer.turn", "left", "defect")
DONE = {"what": "lamp changed, works", "by": "Iris Fenn", "photo": "a" * 64}
CHANGED = check("lamps.trailer.turn", "left", "corrected", correction=DONE)


def assign(device: Device, report: Any, unit: str, *, status: int = 200) -> Any:
    answer = device.post(f"reports/{report}/assign-unit", {"unit": unit})
    assert answer.status_code == status, answer.content
    return answer.json()


def unknown(walk: dict[str, Any]) -> Any:
    """Hand in a walk-around of one unit that nobody knows; the key of its report."""
    return put(acting_as("iris"), walk)["units"][0]["report"]


def test_fault_then_said_to_be_on_a_unit__stands_there_as_of_its_own_time() -> None:
    seen = clock.now() - timedelta(hours=2)
    name = uuid7()
    walk = body(
        [{"unit": "LR 45 ?", "checks": [FLAT, stroke("axle-1-left", "1.55", "fine")], "faults": [{"text": "smells"}]}],
        finished_at=seen,
    )
    report = put(acting_as("iris"), walk, name)["units"][0]["report"]
    page = assign(acting_as("hob"), report, "LR-45")
    assert (page["unit"]["number"], page["given_unit"]) == ("LR-45", "LR 45 ?")
    assert page["unit_assigned_by"]["name"] == Notification.objects.filter(person__username="hob")[0].person.name
    assert page["review"] == "due"
    assert [query["code"] for query in page["flags"]] == []
    defects = Defect.objects.order_by("number")
    assert {(each.unit.number, each.point, each.found_by.username, each.found_at) for each in defects} == {
        ("LR-45", "tires.trailer.body", "iris", seen),
        ("LR-45", "", "iris", seen),
    }
    assert all(defect.order_number for defect in defects)
    hold = Hold.objects.get()
    assert (hold.unit.number, hold.placed_at) == ("LR-45", seen)
    assert [(value.unit.number, value.measured_at) for value in Measurement.objects.all()] == [("LR-45", seen)]
    receipt = acting_as("iris").get(f"walkarounds/{name}").json()["units"][0]
    assert receipt["known"]
    assert {row["hold"] for row in receipt["found"]} == {hold.number, None}


def test_assigned__history_says_by_whom_and_what_the_driver_found() -> None:
    report = unknown(body([{"unit": "NOPE-1", "checks": [FLAT]}], finished_at=clock.now()))
    assign(acting_as("cal"), report, "LR-45")
    entries = HistoryEntry.objects.filter(unit=Unit.objects.get(number="LR-45", owner=""))
    by = {entry.kind: entry.actor.username for entry in entries.select_related("actor") if entry.actor}
    assert by["report_assigned"] == "cal"
    assert by["report_signed"] == by["defect_reported"] == by["hold_placed"] == "iris"


def test_assigned__people_are_notified_of_the_hold_and_no_more_of_an_unknown_unit() -> None:
    report = unknown(body([{"unit": "NOPE-1", "checks": [FLAT]}], finished_at=clock.now()))
    of_unknown = Notification.objects.filter(kind="unit_unknown")
    assert still_active(of_unknown).exists()
    assign(acting_as("hob"), report, "LR-45")
    assert Notification.objects.filter(kind="hold_placed").exists()
    assert not still_active(of_unknown).exists()


def test_legs_and_meters_of_an_unknown_unit__count_once_it_is_known() -> None:
    device = acting_as("iris")
    walk = whole(walk_list(device), clock.now())
    trailer = next(report for report in walk["reports"] if report["unit"] == "LR-45")
    trailer["unit"] = "NOPE-1"
    tractor = next(report for report in walk["reports"] if report["unit"] == "NL-15")
    tractor["unit"], tractor["meters"] = "NOPE-2", [{"meter": "odometer_mi", "shown": "400100"}]
    receipt = put(device, walk)
    reports = {row["unit"]: row for row in receipt["units"]}
    assert reports["NOPE-1"]["looks"]["required"] == 0
    page = assign(acting_as("hob"), reports["NOPE-1"]["report"], "LR-45")
    looks = page["looks"]
    assert looks["required"] == looks["answered"] > looks["by_leg"] > 0
    assert all(leg["counts"] for leg in looks["legs"])
    assign(acting_as("hob"), reports["NOPE-2"]["report"], "NL-15")
    assert MeterReading.objects.filter(unit__number="NL-15", shown="400100", recorded_by__username="iris").exists()


def test_legs_listed_by_no_catalogue_of_ours__count_for_nothing_afterwards_either() -> None:
    device = acting_as("iris")
    walk = whole(walk_list(device, tractor=None), clock.now())
    walk["reports"][0]["unit"] = "NOPE-1"
    del walk["catalogue"]
    page = assign(acting_as("hob"), put(device, walk)["units"][0]["report"], "LR-45")
    assert page["looks"]["legs"]
    assert not any(leg["counts"] for leg in page["looks"]["legs"])


def test_fault_repaired_meanwhile__is_late_and_opens_nothing() -> None:
    """The lamp is reported on the known unit and changed after the walk-around that named no known unit."""
    report = unknown(body([{"unit": "NOPE-1", "checks": [OUT]}], finished_at=clock.now() - timedelta(hours=3)))
    put(acting_as("iris"), body([{"unit": "LR-45", "checks": [OUT]}], finished_at=clock.now() - timedelta(hours=2)))
    put(acting_as("iris"), body([{"unit": "LR-45", "checks": [CHANGED]}], finished_at=clock.now()))
    assign(acting_as("hob"), report, "LR-45")
    assert Defect.objects.get().state == "certified"
    assert list(Sighting.objects.filter(report=report).values_list("how", flat=True)) == ["late"]


def test_corrected_on_an_unknown_unit__certificate_entered_by_whoever_names_it() -> None:
    put(acting_as("iris"), body([{"unit": "LR-45", "checks": [OUT]}], finished_at=clock.now() - timedelta(hours=3)))
    report = unknown(body([{"unit": "NOPE-1", "checks": [CHANGED]}], finished_at=clock.now()))
    assign(acting_as("hob"), report, "LR-45")
    signature = Certificate.objects.get().signature
    assert (signature.signer.username, signature.token_owner.username) == ("iris", "hob")


def test_known_already_or_no_such__refused_and_nothing_changes() -> None:
    report = unknown(body([{"unit": "NOPE-1", "checks": [FLAT]}], finished_at=clock.now()))
    assert assign(acting_as("hob"), report, "NOPE-1", status=422)["errors"][0]["code"] == "unit_unknown"
    assert assign(acting_as("hob"), uuid7(), "LR-45", status=404)["code"] == "report_unknown"
    assign(acting_as("hob"), report, "LR-45")
    assert assign(acting_as("cal"), report, "LR-46", status=409)["code"] == "unit_known_already"
    assert {each.unit.number for each in Defect.objects.all()} == {"LR-45"}


def test_unit_named_twice_under_two_names__both_reports_stand() -> None:
    walk = body([{"unit": "LR-45", "checks": []}, {"unit": "LR 45", "checks": [FLAT]}], finished_at=clock.now())
    report = put(acting_as("iris"), walk)["units"][1]["report"]
    assign(acting_as("hob"), report, "LR-45")
    assert Report.objects.filter(unit__number="LR-45").count() == 2


@pytest.mark.parametrize(("known", "units"), [("false", ["NOPE-1"]), ("true", ["LR-45"])])
def test_list__shows_what_waits(known: str, units: list[str]) -> None:
    put(acting_as("iris"), body([{"unit": "NOPE-1"}, {"unit": "LR-45"}], finished_at=clock.now()))
    answer = acting_as("cal").get("reports", unit_known=known).json()
    assert [row["given_unit"] for row in answer["results"]] == units
