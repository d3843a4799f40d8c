"""Officers' inspections over HTTP: orders on the units they name, defects with repair orders, and the answer due."""

from decimal import Decimal
from typing import Any

import pytest

from common.errors import Conflict, NotAllowed
from defects.models import Defect, Hold, RoadsideInspection, RoadsideViolation, Sighting
from fleet.models import Document, Notification, Person, Signature
from tests.factories.fleet import HOUR, NOON, history_of
from tests.support.acting import acting_as, codes, refusal
from tests.support.dock import Dock, reason
from tests.support.dock import codes as reasons
from tests.support.yard import photo_on
from workorders.models import RepairOrder, RepairTask

REPORT: dict[str, Any] = {
    "report_number": "IA-0099",
    "inspected_at": "2026-03-06T17:40:00Z",
    "officer": "Trooper Finch",
    "us_state": "IA",
    "level": 1,
    "units": ["NL-13", "LR-46"],
}
STROKE = "brakes.service.pushrod-stroke"
SIGNATURE = {"method": "drawn", "signed_at": NOON.isoformat(), "shown": "All violations are corrected."}
ANSWER = {"official_title": "Compliance manager", "signature": SIGNATURE}


def brake(place: str, value: str = "2.5", **more: Any) -> dict[str, Any]:
    return {
        "unit": "LR-46",
        "out_of_service": True,
        "point": STROKE,
        "place": place,
        "section": "393.47(e)",
        "value": value,
        "unit_of_measure": "in",
        **more,
    }


def words(unit: str = "NL-13", text: str = "marker lamp out, left", **more: Any) -> dict[str, Any]:
    return {"unit": unit, "out_of_service": False, "section": "393.9", "text": text, **more}


def record(dock: Dock, *violations: dict[str, Any], by: str = "sol", **changes: Any) -> Any:
    return acting_as(by).post("roadside-inspections", {**REPORT, "violations": list(violations), **changes})


# Recording


def test_two_bad_brakes_on_the_trailer__ordered_out_of_service_and_the_tractor_not(dock: Dock) -> None:
    """Day 14 of the scenario: the order stands on the unit that the report names for it."""
    made = record(dock, brake("axle-1-left"), brake("axle-1-right", "2.4"), words())
    body = made.json()
    assert (made.status_code, made.headers["Location"]) == (201, f"/api/v1/roadside-inspections/{body['id']}")
    assert [(order["unit"]["number"], order["lifted_at"]) for order in body["orders"]] == [("LR-46", None)]
    assert (body["state_of_answer"], body["answer_due_on"], body["level"]) == ("answer_due", "2026-03-21", 1)
    hold = Hold.objects.get()
    assert (hold.kind, hold.unit, hold.defect, hold.roadside_id) == (
        "officer",
        dock.trailer,
        None,
        RoadsideInspection.objects.get().pk,
    )
    assert (hold.placed_at, hold.placed_by, hold.recorded_at) == (NOON - HOUR / 3, dock["sol"], NOON)
    alone = dock.ask("NL-13", at=NOON)
    assert reasons(alone) == ["defect_not_certified", "units_to_uncouple"]
    assert reason(alone, "defect_not_certified")["unit"] == "NL-13"
    together = dock.ask(at=NOON)
    assert {"officers_order", "brake_share"} <= set(reasons(together))


def test_each_violation__is_a_statutory_defect_with_its_line_and_a_repair_order(dock: Dock) -> None:
    record(dock, brake("axle-1-left"), words(), words("LR-46", "mud flap torn"))
    brakes, lamp, flap = Defect.objects.order_by("number")
    assert (brakes.severity, brakes.bars, brakes.authority, brakes.graded) == (
        "do_not_move",
        "movement",
        "statutory",
        True,
    )
    assert (brakes.regulation_severity, brakes.counts_as_service_brake, brakes.limit) == (
        "do_not_move",
        True,
        "type-24-long",
    )
    assert (lamp.severity, lamp.text, lamp.regulation_severity, lamp.graded) == (
        "before_next_use",
        "marker lamp out, left",
        "before_next_use",
        True,
    )
    assert {defect.found_by for defect in (brakes, lamp, flap)} == {dock["sol"]}
    assert {defect.roadside_id for defect in (brakes, lamp, flap)} == {RoadsideInspection.objects.get().pk}
    assert [order.unit for order in RepairOrder.objects.order_by("number")] == [dock.trailer, dock.tractor]
    assert {defect.order_number for defect in (brakes, flap)} == {RepairOrder.objects.get(unit=dock.trailer).number}
    assert Sighting.objects.filter(how="new", report=None, person=dock["sol"]).count() == 3
    kinds = history_of(dock.trailer)
    assert kinds[-7:] == [
        "roadside_inspected",
        "defect_reported",
        "defect_reported",
        "hold_placed",
        "repair_order_opened",
        "repair_task_opened",
        "repair_task_opened",
    ]


def test_brakes_told_in_words_under_their_section__ask_the_qualification_for_brakes(dock: Dock) -> None:
    record(dock, words("LR-46", "air line chafed through", section="393.45(b)"), words("LR-46", "mud flap torn"))
    line, flap = Defect.objects.order_by("number")
    assert line.source == "393.45(b); 49 CFR 396.9(c)(2), (d)(2)"
    assert {task.defect: task.scope for task in RepairTask.objects.all()} == {line: "brakes_repair", flap: ""}
    dock.now = NOON
    with pytest.raises(NotAllowed) as caught:
        dock.certify(line, "sam", photo=photo_on(line))
    assert caught.value.code == "brake_qualification_needed"
    dock.certify(flap, "sam", photo=photo_on(flap))
    dock.certify(line, photo=photo_on(line))


def test_fault_that_stands_already__joined_raised_and_no_longer_put_off(dock: Dock) -> None:
    defect = dock.finding("lamps.trailer.socket", at=NOON - HOUR)
    dock.dismiss(defect)
    dock.now = NOON
    record(dock, {"unit": "LR-46", "out_of_service": True, "point": "lamps.trailer.socket"})
    assert Defect.objects.get().pk == defect.pk
    joined = Defect.objects.get()
    assert (joined.state, joined.severity, joined.regulation_severity, joined.current_certificate) == (
        "reported",
        "do_not_move",
        "do_not_move",
        None,
    )
    assert RoadsideViolation.objects.get().defect == defect
    assert Sighting.objects.filter(defect=defect, how="raised", report=None).count() == 1


def test_worse_finding_by_an_officer__names_the_defect_from_then_on(dock: Dock) -> None:
    defect = dock.finding("tires.trailer.body", "axle-1-left-outer", at=NOON - HOUR, finding="valve_cap_missing")
    dock.now = NOON
    noted = {"unit": "LR-46", "point": "tires.trailer.body", "place": "axle-1-left-outer", "finding": "cord_showing"}
    record(dock, {**noted, "out_of_service": True})
    joined = Defect.objects.get()
    assert (joined.pk, joined.finding, joined.rule) == (defect.pk, "cord_showing", "tires.trailer.body#cord_showing")


@pytest.mark.parametrize(("noted", "value"), [({"value": "2.5"}, "2.5"), ({"value": "2.12"}, "2.31"), ({}, "2.31")])
def test_stroke_noted_by_an_officer__names_the_defect_if_it_is_further_past(
    dock: Dock, noted: dict[str, str], value: str
) -> None:
    dock.stroke("2.31", at=NOON - HOUR)
    dock.now = NOON
    unit_of_measure = {"unit_of_measure": "in"} if noted else {}
    record(
        dock,
        {"unit": "LR-46", "out_of_service": True, "point": STROKE, "place": "axle-2-right", **noted, **unit_of_measure},
    )
    joined = Defect.objects.get()
    assert (joined.value, joined.severity) == (Decimal(value), "do_not_move")


def test_milder_than_what_stands__never_lowers_it(dock: Dock) -> None:
    defect = dock.stroke(at=NOON - HOUR)
    dock.now = NOON
    record(dock, brake("axle-2-right", out_of_service=False))
    joined = Defect.objects.get()
    assert (joined.pk, joined.severity) == (defect.pk, "do_not_move")
    assert [hold.kind for hold in Hold.objects.all()] == ["carrier"]


def test_own_rule_says_do_not_move_and_the_officer_did_not__held_by_the_carrier(dock: Dock) -> None:
    made = record(dock, brake("axle-1-left", out_of_service=False))
    assert made.json()["orders"] == []
    hold = Hold.objects.get()
    assert (hold.kind, hold.defect) == ("carrier", Defect.objects.get())


def test_repaired_before_the_report_arrived__stays_so_and_the_order_can_be_lifted(dock: Dock) -> None:
    defect = dock.stroke(at=NOON - HOUR)
    dock.repaired_stroke(defect)
    dock.lift(defect.holds.get())
    dock.now = NOON
    record(dock, brake("axle-2-right"), inspected_at=(NOON - HOUR + HOUR / 120).isoformat())
    assert Defect.objects.get().state == "certified"
    order = Hold.objects.get(kind="officer")
    assert order.lifted_at is None
    dock.lift(order)
    assert Hold.objects.get(kind="officer").lifted_at is not None


def test_fault_on_two_reports__each_waits_for_its_repair(dock: Dock) -> None:
    first = record(dock, brake("axle-1-left")).json()
    second = record(dock, brake("axle-1-left"), report_number="IL-7").json()
    defect = Defect.objects.get()
    assert [order["hold"] for body in (first, second) for order in body["orders"]] == [
        hold.number for hold in Hold.objects.order_by("number")
    ]
    dock.now = NOON
    for hold in Hold.objects.order_by("number"):
        with pytest.raises(Conflict, match="repairs_outstanding"):
            dock.lift(hold)
    dock.repaired_stroke(defect)
    for hold in Hold.objects.order_by("number"):
        dock.lift(hold)
    assert not Hold.objects.filter(lifted_at=None).exists()


def test_notified_at_once__of_the_order_and_compliance_of_the_answer(dock: Dock) -> None:
    Person.objects.filter(pk=dock["vera"].pk).update(language="es")
    record(dock, brake("axle-1-left"))
    orders = Notification.objects.filter(kind="order_by_officer")
    assert sorted(notification.person.name for notification in orders) == [
        "Cal Wick",
        "Hob Anselm",
        "Ida Fell",
        "Vera Holt",
    ]
    assert {(notification.urgent, notification.subject_id) for notification in orders} == {
        (True, Hold.objects.get().pk)
    }
    owed = Notification.objects.get(kind="roadside_answer_due")
    assert (owed.person, owed.urgent) == (dock["vera"], False)
    said = [row["text"] for row in acting_as("vera").get("notices").json()["results"]]
    assert any(
        text.startswith("Responda el reporte del oficial IA-0099 a más tardar el sáb 21 mar 2026") for text in said
    )


def test_clean_inspection__recorded_owes_nothing_and_is_no_periodic_inspection(dock: Dock) -> None:
    """Day 29 of the scenario."""
    Document.objects.filter(unit=dock.tractor, kind="periodic_inspection").delete()
    made = record(dock)
    body = made.json()
    assert (body["state_of_answer"], body["answer_due_on"], body["allowed_actions"]) == ("clean", None, [])
    assert (body["orders"], body["violations"]) == ([], [])
    assert not Notification.objects.exists()
    assert not Document.objects.filter(unit=dock.tractor, kind="periodic_inspection").exists()
    assert "document_missing" in reasons(dock.ask(at=NOON))
    answer = acting_as("vera").post(f"roadside-inspections/{body['id']}/answer", ANSWER, if_match='"1"')
    assert refusal(answer) == (409, "roadside_clean")


@pytest.mark.parametrize(
    ("violations", "changes", "problems"),
    [
        ([words(text="")], {}, [("/violations/0/text", "blank")]),
        ([{"unit": "LR-46", "out_of_service": True}], {}, [("/violations/0/text", "required")]),
        ([words("NL-15")], {}, [("/violations/0/unit", "violation_unit_not_named")]),
        ([words("ZZ-1")], {}, [("/violations/0/unit", "unit_unknown")]),
        ([brake("axle-9-left")], {}, [("/violations/0/place", "flag_place_unknown")]),
        ([words(), brake("axle-1-left", "40")], {}, [("/violations/1/value", "flag_value_implausible")]),
        ([brake("axle-1-left", unit_of_measure="mm")], {}, [("/violations/0/unit_of_measure", "flag_unit_wrong")]),
        ([brake("axle-1-left", point="no.such")], {}, [("/violations/0/point", "flag_point_unknown")]),
        ([brake("axle-1-left", finding="odd")], {}, [("/violations/0/finding", "flag_finding_unknown")]),
        ([], {"inspected_at": "2026-03-06T18:00:01Z"}, [("/inspected_at", "instant_in_future")]),
        ([], {"inspected_at": "0001-01-01T00:00:00Z"}, [("/inspected_at", "not_an_instant")]),
        ([], {"level": 9}, [("/level", "max_value")]),
        ([], {"us_state": "iowa"}, [("/us_state", "max_length")]),
        ([], {"us_state": "i1"}, [("/us_state", "state_malformed")]),
        ([], {"units": []}, [("/units", "empty")]),
        ([], {"units": ["ZZ-1"]}, [("/units/0", "unit_unknown")]),
    ],
)
def test_report_that_cannot_be_right__refused_and_nothing_stored(
    dock: Dock, violations: list[dict[str, Any]], changes: dict[str, Any], problems: list[tuple[str, str]]
) -> None:
    before = history_of(dock.trailer)
    answer = record(dock, *violations, **changes)
    assert (answer.status_code, codes(answer)) == (422, problems)
    assert not RoadsideInspection.objects.exists()
    assert not Defect.objects.exists()
    assert history_of(dock.trailer) == before


def test_same_report_number__refused(dock: Dock) -> None:
    record(dock)
    assert refusal(record(dock, words())) == (409, "roadside_report_known")
    assert not Defect.objects.exists()


def test_lists__by_unit_state_of_the_answer_and_due_day(dock: Dock) -> None:
    owed = record(dock, words()).json()["id"]
    clean = record(dock, report_number="IA-2", units=["LR-46"]).json()["id"]
    vera = acting_as("vera")

    def found(**query: str) -> list[str]:
        return sorted(row["id"] for row in vera.get("roadside-inspections", **query).json()["results"])

    assert found() == sorted([owed, clean])
    assert found(unit="NL-13") == found(state_of_answer="answer_due") == found(due_by="2026-03-21") == [owed]
    assert found(state_of_answer="clean") == [clean]
    assert found(due_by="2026-03-20") == found(state_of_answer="answered") == []
    absent = "roadside-inspections/019a0000-0000-7000-8000-000000000404"
    assert refusal(vera.get(absent)) == (404, "roadside_inspection_unknown")


# Answering


def test_answer__only_once_every_violation_is_certified_repaired(dock: Dock) -> None:
    made = record(dock, brake("axle-2-right"), words()).json()
    path = f"roadside-inspections/{made['id']}/answer"
    vera = acting_as("vera")
    brakes, lamp = Defect.objects.order_by("number")
    outstanding = vera.post(path, ANSWER, if_match='"1"')
    assert refusal(outstanding) == (409, "violations_outstanding")
    assert outstanding.json()["defects"] == [brakes.number, lamp.number]
    dock.now = NOON
    dock.repaired_stroke(brakes)
    assert vera.post(path, ANSWER, if_match='"1"').json()["defects"] == [lamp.number]
    dock.certify(lamp, photo=photo_on(lamp))
    before = RoadsideInspection.objects.values().get()
    assert refusal(acting_as("cal").post(path, ANSWER, if_match='"1"')) == (403, "role_not_allowed")
    assert refusal(vera.post(path, ANSWER)) == (428, "if_match_required")
    assert refusal(vera.post(path, ANSWER, if_match='"2"')) == (412, "version_changed")
    assert codes(vera.post(path, {"signature": SIGNATURE}, if_match='"1"')) == [("/official_title", "required")]
    assert RoadsideInspection.objects.values().get() == before
    answered = vera.post(path, ANSWER, if_match='"1"').json()
    assert (answered["state_of_answer"], answered["answered_by"]["name"], answered["answer_title"]) == (
        "answered",
        "Vera Holt",
        "Compliance manager",
    )
    assert (answered["answered_at"], answered["allowed_actions"]) == ("2026-03-06T18:00:00Z", [])
    assert Signature.objects.get(purpose="answer").shown == SIGNATURE["shown"]
    assert history_of(dock.trailer)[-1] == history_of(dock.tractor)[-1] == "roadside_answered"
    assert refusal(vera.post(path, ANSWER, if_match='"2"')) == (409, "action_not_allowed")


def test_violation_entered_in_error__settled_only_where_no_order_rests_on_it(dock: Dock) -> None:
    made = record(dock, words(), words("LR-46", "tire flat", out_of_service=True)).json()
    Defect.objects.update(state="entered_in_error")
    answer = acting_as("vera").post(f"roadside-inspections/{made['id']}/answer", ANSWER, if_match='"1"')
    assert answer.json()["defects"] == [Defect.objects.get(unit=dock.trailer).number]
