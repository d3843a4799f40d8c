"""A fault that somebody else told the driver: reported with who told it, and shown so wherever the fault is shown."""

from pathlib import Path
from typing import Any

import pytest

from defects.models import Defect, Measurement, Report, Sighting
from fleet.models import Unit
from tests.factories.fleet import HOUR, NOON
from tests.support.acting import acting_as
from tests.support.ninefold import person
from tests.support.unit_files import made_file
from tests.support.walks import body, check, put, walk_list

CLERK, OFFICER = "the dock clerk at Cold Store Three", "an officer at the gate"
HEARD = {"heard_from": CLERK, "heard_at": (NOON - 2 * HOUR).isoformat()}
BODY = "tires.trailer.body"


def heard_report(**more: Any) -> Any:
    """What one report on the trailer is answered."""
    return put(acting_as("iris"), body([{"unit": "LR-45", **more}], finished_at=NOON - HOUR))["units"][0]


def heard_fault(**more: Any) -> Any:
    return heard_report(checks=[check(BODY, "axle-1-left-outer", "defect", finding="flat", **HEARD, **more)])


def instant(text: str | None) -> str:
    return (text or "").replace("Z", "+00:00")


def test_fault_heard_of__opens_a_defect_that_says_from_whom() -> None:
    found = heard_fault()["found"][0]

    defect = Defect.objects.get()
    assert (defect.heard_from, defect.heard_at, defect.found_by) == (CLERK, NOON - 2 * HOUR, person("iris"))
    assert (found["heard_from"], instant(found["heard_at"])) == (CLERK, HEARD["heard_at"])
    assert (found["severity"], found["hold"] is not None) == (defect.severity, defect.severity == "do_not_move")


def test_fault_in_the_drivers_words_that_was_heard_of__says_from_whom() -> None:
    heard_report(faults=[{"text": "The door banged all night.", **HEARD}])

    defect = Defect.objects.get()
    assert (defect.heard_from, defect.heard_at) == (CLERK, NOON - 2 * HOUR)
    shown = acting_as("hob").get(f"reports/{Report.objects.get().pk}").json()["faults"][0]
    assert (shown["heard_from"], instant(shown["heard_at"])) == (CLERK, HEARD["heard_at"])


def test_fault_heard_of_at_a_place_the_unit_has_not__keeps_who_told_it() -> None:
    heard_report(checks=[check(BODY, "axle-9-left-outer", "defect", finding="flat", **HEARD)])

    assert Defect.objects.get().heard_from == CLERK


def test_fault_heard_of_first_and_found_then__keeps_both_sightings_apart() -> None:
    heard_fault()
    found = check(BODY, "axle-1-left-outer", "defect", finding="flat")
    put(acting_as("sol"), body([{"unit": "LR-45", "checks": [found]}], finished_at=NOON))

    number = Defect.objects.get().number
    page = acting_as("hob").get(f"defects/{number}").json()
    assert [row["heard_from"] for row in page["sightings"]] == [CLERK, ""]
    assert (page["heard_from"], instant(page["heard_at"])) == (CLERK, HEARD["heard_at"])


def test_defect_found_first__is_no_hearsay_for_being_heard_of_again() -> None:
    heard_report(checks=[check(BODY, "axle-1-left-outer", "defect", finding="flat")])
    again = check(BODY, "axle-1-left-outer", "defect", finding="flat", heard_from=OFFICER)
    put(acting_as("sol"), body([{"unit": "LR-45", "checks": [again]}], finished_at=NOON))

    assert Defect.objects.get().heard_from == ""
    assert list(Sighting.objects.order_by("seen_at").values_list("heard_from", flat=True)) == ["", OFFICER]


def test_list_order_report_and_review__say_who_told_it() -> None:
    found = heard_fault()["found"][0]
    hob = acting_as("hob")

    assert hob.get("defects", unit="LR-45").json()["results"][0]["heard_from"] == CLERK
    task = hob.get("repair-tasks", order=found["order"]).json()["results"][0]
    assert task["defect"]["heard_from"] == CLERK
    item = hob.get(f"reports/{Report.objects.get().pk}").json()["items"][0]
    assert (item["heard_from"], instant(item["heard_at"])) == (CLERK, HEARD["heard_at"])
    due = acting_as("sol").get("driver-reviews/pending", unit="LR-45").json()
    assert CLERK in str(due)


def test_history_and_unit_file__say_who_told_it(tmp_path: Path) -> None:
    heard_fault()

    entries = acting_as("hob").get("units/LR-45/history").json()["results"]
    said = [entry["text"] for entry in entries if entry["kind"] == "defect_reported"]
    assert said[0].endswith(f"The driver was told by {CLERK}.")
    file = made_file(Unit.objects.get(number="LR-45"), person("vera"), NOON, tmp_path)
    assert file.records("defects")[0]["heard_from"] == CLERK
    assert file.records("defects")[0]["sightings"][0]["heard_from"] == CLERK
    assert file.records("driver_reports")[0]["found"][0]["heard_from"] == CLERK


@pytest.mark.parametrize("answer", ["fine", "not_applicable"])
def test_hearing_that_nothing_is_wrong__is_no_look(answer: str) -> None:
    place = "axle-1-left-outer"
    unit = heard_report(checks=[check(BODY, place, answer, heard_from=CLERK)])

    flags = {flag["code"]: flag["detail"] for flag in unit["flags"]}
    assert flags["heard_only"] == f"You only heard this from {CLERK}. Look yourself."
    assert (BODY, place, "flagged") in [tuple(row.values()) for row in unit["looks"]["without_answer"]]


def test_value_that_was_heard_of__names_the_fault_and_enters_no_series() -> None:
    told = {"value": "2.31", "unit_of_measure": "in", "heard_from": OFFICER}
    found = heard_report(checks=[check("brakes.service.pushrod-stroke", "axle-1-left", "defect", **told)])["found"][0]

    assert (found["value"], found["heard_from"]) == ("2.31", OFFICER)
    assert not Measurement.objects.exists()


def test_driver__signs_that_he_was_told_and_did_not_see() -> None:
    said = walk_list(acting_as("iris"))["to_sign"]

    assert said.endswith("What I was told and did not see, I list with who told me.")


def test_time_that_cannot_be_read__is_kept_as_sent_and_the_fault_stands() -> None:
    told = {"heard_from": CLERK, "heard_at": "at noon"}
    heard_report(checks=[check(BODY, "axle-1-left-outer", "defect", finding="flat", **told)])

    assert (Defect.objects.get().heard_from, Defect.objects.get().heard_at) == (CLERK, None)
