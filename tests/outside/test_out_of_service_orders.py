"""49 CFR 396.9, paragraphs (c) and (d), one by one, against what the service does over HTTP.

Source: 49 CFR 396.9 (read), as amended by 81 FR 47731; FMCSA guidance on 396.9, question 1 (read). That the report goes
back only to States that ask for it (2026, read) changes nothing that is checked here. What a paragraph asks is typed in
our own words beside each check. The 396.9(d)(1) duty to bring the report to the carrier is the driver's; the service
can only take it at once.
"""

from datetime import date, timedelta
from typing import Any

import pytest

from common import clock
from common.clock import day_in_zone
from defects.models import Defect, Hold, RoadsideInspection
from fleet.models import Notification
from fleet.rules.records.retention import RECORD_KINDS, retained_until
from tests.support.acting import acting_as
from tests.support.defects import certify, lift, signature
from tests.support.ninefold import person

pytestmark = pytest.mark.usefixtures("ninefold")

STROKE = "brakes.service.pushrod-stroke"
WITHIN = timedelta(days=15)
MONTHS = 12


def report(*violations: dict[str, Any], by: str = "tomo", **changes: Any) -> Any:
    """An officer's report on NL-12 with LR-42, recorded by the driver on the road."""
    given = {
        "report_number": "IA-000099",
        "inspected_at": (clock.now() - timedelta(minutes=20)).isoformat(),
        "officer": "Trooper Finch",
        "us_state": "IA",
        "level": 1,
        "units": ["NL-12", "LR-42"],
        "violations": list(violations),
        **changes,
    }
    answer = acting_as(by).post("roadside-inspections", given)
    assert answer.status_code == 201, answer.content
    return answer.json()


def brake(place: str) -> dict[str, Any]:
    measured = {"value": "2.5", "unit_of_measure": "in"}
    return {"unit": "LR-42", "out_of_service": True, "point": STROKE, "place": place, **measured}


LAMP = {"unit": "NL-12", "out_of_service": False, "section": "393.9", "text": "marker lamp out, left"}


def reasons(*units: str) -> dict[str, set[str]]:
    """The codes of what bars, by unit."""
    arrival = (clock.now() + timedelta(hours=8)).isoformat()
    answer = acting_as("cal").post("clearances", {"units": list(units), "arrival": arrival})
    assert answer.status_code == 201, answer.content
    found: dict[str, set[str]] = {}
    for row in answer.json()["reasons"]:
        if row["kind"] == "bars":
            found.setdefault(row["unit"], set()).add(row["code"])
    return found


def repair(defect: Defect) -> None:
    measured = {"value": "1.62", "unit_of_measure": "in", "measured_at": clock.now().isoformat()}
    answer = certify("greta", defect, statement="adjuster replaced", measured=measured)
    assert answer.status_code == 200, answer.content


def test_c1_unit_declared_out_of_service_is_marked() -> None:
    """(c)(1): authorised personnel declare and mark out of service a vehicle likely to cause a crash or breakdown."""
    body = report(brake("axle-1-left"), brake("axle-1-right"), LAMP)

    assert [order["unit"]["number"] for order in body["orders"]] == ["LR-42"]
    assert [(hold.kind, hold.unit.number) for hold in Hold.objects.all()] == [("officer", "LR-42")]


def test_c2_nobody_operates_it_until_all_repairs_on_the_notice_are_done() -> None:
    """(c)(2): no carrier requires or permits, and nobody does operate it, until all repairs required are completed."""
    report(brake("axle-1-left"), brake("axle-1-right"))
    left, right = Defect.objects.order_by("number")

    assert "officers_order" in reasons("NL-12", "LR-42")["LR-42"]
    repair(left)
    assert lift("hob", Hold.objects.get()).json()["code"] == "repairs_outstanding"
    assert "officers_order" in reasons("NL-12", "LR-42")["LR-42"]
    repair(right)
    assert "officers_order" in reasons("NL-12", "LR-42")["LR-42"]
    assert lift("hob", Hold.objects.get()).status_code == 200
    assert "officers_order" not in reasons("NL-12", "LR-42").get("LR-42", set())


def test_c2_operate_includes_towing_so_no_combination_with_it_may_roll() -> None:
    """(c)(2): "operate" includes towing, except by a crane or hoist vehicle."""
    report(brake("axle-1-left"))

    for units in (("NL-12", "LR-42"), ("NL-13", "LR-42"), ("LR-42",)):
        assert "officers_order" in reasons(*units)["LR-42"], units


def test_c2_the_tractor_that_towed_it_answers_for_itself_alone() -> None:
    """(c)(2) binds the vehicle on the notice; the other vehicle of the combination, uncoupled, is not on it."""
    report(brake("axle-1-left"), brake("axle-1-right"))

    assert reasons("NL-12") == {}


def test_c2_no_limited_move_and_no_yard_move_takes_its_place() -> None:
    """(c)(2) knows no exception but carrying or hoisting it: 396.7(b) does not apply to a vehicle under an order."""
    report(brake("axle-1-left"))
    now = clock.now()

    answer = acting_as("hob").post(
        "limited-moves",
        {
            "unit": "LR-42",
            "found_on_highway": True,
            "found_at_place": "interstate, mile 112",
            "to_place": "Crookspoke Road Tire",
            "distance_mi": "2.1",
            "why_nearest": "the only shop",
            "why_less_hazardous": "narrow shoulder",
            "driver": str(person("sol").pk),
            "driver_consented_at": now.isoformat(),
            "ends_at": (now + timedelta(hours=1)).isoformat(),
        },
    )

    assert (answer.status_code, answer.json()["code"]) == (409, "order_forbids_move")


def test_c3_the_mark_is_not_removed_before_all_repairs_are_done() -> None:
    """(c)(3): nobody removes the sticker prior to completion of all repairs required by the notification."""
    report(brake("axle-1-left"))
    hold = Hold.objects.get()

    refused = lift("hob", hold)

    assert (refused.status_code, refused.json()["code"]) == (409, "repairs_outstanding")
    assert Hold.objects.get().lifted_at is None


def test_c3_calling_the_repair_unnecessary_or_entered_in_error_does_not_remove_it() -> None:
    """(c)(3): only repairs do."""
    report(brake("axle-1-left"))
    defect = Defect.objects.get()
    limit = (clock.now() + timedelta(days=3)).date().isoformat()

    unnecessary = certify("greta", defect, kind="repair_unnecessary", statement="holds", limit_on=limit)
    error = acting_as("hob").act(
        f"defects/{defect.number}", "entered-in-error", {"reason": "officer was wrong", "signature": signature()}
    )

    assert {unnecessary.json()["code"], error.json()["code"]} == {"on_officers_order"}
    assert Hold.objects.get().lifted_at is None


def test_d1_the_report_is_taken_from_the_driver_at_once() -> None:
    """(d)(1): the driver delivers it on arrival, or sends it at once when no terminal is reached within 24 hours."""
    body = report(brake("axle-1-left"), by="tomo")

    assert body["recorded_by"]["name"] == person("tomo").name
    told = {
        notification.person.username
        for notification in Notification.objects.filter(kind="order_by_officer", urgent=True)
    }
    assert told == {"cal", "dee", "hob", "vera"}


def test_d2_violations_are_corrected_under_396_11_a_3_before_the_next_use() -> None:
    """(d)(2): the carrier examines the report; violations and defects noted are corrected per 396.11(a)(3)."""
    report(LAMP)
    defect = Defect.objects.get()

    assert (defect.authority, defect.severity) == ("statutory", "before_next_use")
    assert defect.order_number is not None
    assert reasons("NL-12") == {"NL-12": {"defect_not_certified"}}


def test_d3i_official_certifies_that_all_violations_are_corrected() -> None:
    """(d)(3)(i): certify that all violations noted have been corrected: official's signature, title, date signed."""
    body = report(brake("axle-1-left"))

    def answer() -> Any:
        signed = {"method": "drawn", "signed_at": clock.now().isoformat(), "shown": "All violations are corrected."}
        given = {"official_title": "Compliance manager", "signature": signed}
        return acting_as("vera").post(f"roadside-inspections/{body['id']}/answer", given, if_match='"1"')

    early = answer()
    assert (early.status_code, early.json()["code"]) == (409, "violations_outstanding")

    repair(Defect.objects.get())
    done = answer()
    assert done.status_code == 200, done.content
    answered = done.json()
    assert (answered["state_of_answer"], answered["answered_by"]["name"], answered["answer_title"]) == (
        "answered",
        person("vera").name,
        "Compliance manager",
    )
    assert answered["answered_at"] is not None


def test_d3_within_fifteen_days_following_the_date_of_the_inspection() -> None:
    """(d)(3): within 15 days following the date of the inspection, by the carrier's calendar."""
    body = report(LAMP)

    inspected = RoadsideInspection.objects.get().inspected_at
    due = day_in_zone(inspected, "America/Chicago") + WITHIN
    assert body["answer_due_on"] == due.isoformat()
    assert report(report_number="IA-000100")["answer_due_on"] is None


def test_d3ii_a_copy_is_kept_twelve_months_from_the_date_of_the_inspection() -> None:
    """(d)(3)(ii): retained where the vehicle is housed or at the principal place for 12 months from the inspection."""
    assert RECORD_KINDS["roadside_inspection"].months == MONTHS
    assert retained_until("roadside_inspection", date(2026, 3, 15)).until == date(2027, 3, 15)
