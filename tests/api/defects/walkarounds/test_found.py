"""Findings become defects, sightings, holds, orders and notices: once, never milder, in the order they were made."""

import json
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from pytest_django import Settings

from common import clock
from common.ids import uuid7
from defects.models import Certificate, Defect, Hold, Report, Sighting, WorkInProgress
from defects.services.defects.repair import Work, note_work_begun
from fleet.enums import NotificationKind
from fleet.models import Notification, Person
from tests.factories.defects import measure, photo_of
from tests.factories.fleet import NOON
from tests.support.acting import acting_as
from tests.support.contents import contents, more_rows
from tests.support.defects import certified, lift, signature
from tests.support.ninefold import person
from tests.support.walks import body, check, put, stroke
from workorders.models import RepairOrder, RepairTask

MINUTE, HOUR, DAY = timedelta(minutes=1), timedelta(hours=1), timedelta(days=1)
STROKE, TIRE, TREAD, BELTS, CLEAN = (
    "brakes.service.pushrod-stroke",
    "tires.trailer.body",
    "tires.trailer.tread-depth",
    "cooling.engine.belts",
    "inside.cleanliness",
)


def report(*checks: dict[str, Any], unit: str = "LR-45", by: str = "iris", at: datetime | None = None) -> Any:
    """What one unit's report is answered, of a walk-around finished now unless said otherwise."""
    return put(acting_as(by), body([{"unit": unit, "checks": list(checks)}], finished_at=at or clock.now()))["units"][0]


def told(*faults: dict[str, Any], unit: str = "LR-45", by: str = "iris") -> Any:
    return put(acting_as(by), body([{"unit": unit, "faults": list(faults)}], finished_at=clock.now()))["units"][0]


def belts(finding: str, at: datetime | None = None, by: str = "iris") -> Any:
    return report(check(BELTS, answer="defect", finding=finding), unit="CU-45", by=by, at=at)


# new defects ---------------------------------------------------------------------------------------------------------


def test_first_finding__opens_a_defect_with_sighting_hold_order_and_history() -> None:
    device = acting_as("iris")
    before = contents()

    receipt = put(device, body([{"unit": "LR-45", "checks": [stroke("axle-1-left", "2.31")]}], finished_at=NOON))

    assert more_rows(before, contents()) == {
        "defects_walkaround": 1,
        "defects_report": 1,
        "defects_measurement": 1,
        "defects_catalogueversion": 1,
        "defects_defect": 1,
        "defects_sighting": 1,
        "defects_hold": 1,
        "workorders_repairorder": 1,
        "workorders_repairtask": 1,
        "fleet_signature": 1,
        "fleet_notification": 3,
        "fleet_delivery": 3,
        "fleet_delivery_notifications": 3,
        "fleet_historyentry": 5,
        "fleet_historycontent": 5,
    }
    defect, hold, order = Defect.objects.get(), Hold.objects.get(), RepairOrder.objects.get()
    stands = {name: getattr(defect, name) for name in ("point", "place", "value", "limit_value", "unit_of_measure")}
    assert stands == {
        "point": STROKE,
        "place": "axle-1-left",
        "value": Decimal("2.31"),
        "limit_value": Decimal(2),
        "unit_of_measure": "in",
    }
    assert (defect.severity, defect.bars, defect.authority, defect.state) == (
        "do_not_move",
        "movement",
        "statutory",
        "reported",
    )
    assert (defect.counts_as_service_brake, defect.on_steering_axle, defect.graded) == (True, False, True)
    assert (defect.found_by.username, defect.found_at, defect.order_number) == ("iris", NOON, order.number)
    assert (hold.defect, hold.kind, hold.placed_at) == (defect, "carrier", NOON)
    assert hold.reason == "Pushrod stroke, axle 1 left: 2.31 in, limit 2 in"
    assert [(s.how, s.value, s.seen_at) for s in Sighting.objects.all()] == [("new", Decimal("2.31"), NOON)]
    (found,) = receipt["units"][0]["found"]
    assert (found["defect"], found["hold"], found["order"]) == (defect.number, hold.number, order.number)
    assert (found["value"], found["limit"], found["comeback"], found["how"]) == ("2.31", "2", False, "new")
    assert receipt["says"].startswith("Do not move LR-45. Foreman and dispatch are notified.")
    kinds = [entry.kind for entry in defect.unit.history.order_by("sequence")][-5:]
    assert kinds == ["report_signed", "defect_reported", "hold_placed", "repair_order_opened", "repair_task_opened"]


def test_no_mail_server_or_no_address__the_driver_is_not_told_that_anybody_is_told(settings: Settings) -> None:
    walk = body([{"unit": "LR-45", "checks": [stroke("axle-1-left", "2.31")]}], finished_at=NOON)
    Person.objects.filter(username="hob").update(email="")

    key = uuid7()
    some = put(acting_as("iris"), walk, key)
    settings.MAIL_SERVER_SET = False
    nobody = put(acting_as("iris"), walk, key, status=200)

    told = [row["name"] for row in some["recipients"]]
    assert [row["name"] for row in some["not_reached"]] == ["Hob Anselm"]
    assert (told != [], "Hob Anselm" in told) == (True, False)
    assert some["says"].startswith(
        "Do not move LR-45. Foreman and dispatch are notified. Hob Anselm cannot be reached by message. Call them."
    )
    assert (nobody["recipients"], [row["name"] for row in nobody["not_reached"]]) == ([], sorted([*told, "Hob Anselm"]))
    assert nobody["says"].startswith(
        f"Do not move LR-45. {', '.join(sorted([*told, 'Hob Anselm']))} cannot be reached by message. Call them."
    )


@pytest.mark.parametrize(
    ("check_", "severity", "hold", "order", "owed"),
    [
        (check(TREAD, "axle-1-left-outer", value="2.5", unit_of_measure="32nds"), "watch", False, False, False),
        (
            check(TIRE, "axle-1-left-outer", "defect", finding="valve_cap_missing"),
            "next_shop_visit",
            False,
            True,
            False,
        ),
        (check(TIRE, "axle-1-left-outer", "defect", finding="cord_showing"), "do_not_move", True, True, True),
        (check(CLEAN, answer="defect"), "next_shop_visit", False, False, False),
    ],
)
def test_each_severity__holds_orders_and_owes_as_it_should(
    check_: dict[str, Any], severity: str, hold: bool, order: bool, owed: bool
) -> None:
    (found,) = report(check_)["found"]

    assert found["severity"] == severity
    assert ((found["hold"] is not None), (found["order"] is not None)) == (hold, order)
    assert (Hold.objects.exists(), RepairOrder.objects.exists()) == (hold, order)
    assert Report.objects.get().review_due is owed


def test_several_findings_on_several_units__one_order_a_unit_and_a_task_each() -> None:
    lamps = [check("lamps.trailer.turn", side, "defect") for side in ("left", "right")]
    walk = body(
        [
            {"unit": "LR-45", "checks": [*lamps, stroke("axle-1-left", "2.6")]},
            {"unit": "NL-15", "faults": [{"text": "x"}]},
        ],
        finished_at=NOON,
    )

    receipt = put(acting_as("iris"), walk)

    orders = {order.unit.number: order for order in RepairOrder.objects.select_related("unit")}
    assert set(orders) == {"LR-45", "NL-15"}
    assert RepairTask.objects.filter(order=orders["LR-45"]).count() == 3
    assert {found["order"] for found in receipt["units"][0]["found"]} == {orders["LR-45"].number}


def test_next_report__joins_the_order_that_stands() -> None:
    report(check("lamps.trailer.turn", "left", "defect"))
    report(check("lamps.trailer.turn", "right", "defect"), by="sol")

    assert RepairOrder.objects.count() == 1
    assert RepairTask.objects.count() == 2


# in the driver's own words --------------------------------------------------------------------------------------------


def test_fault_in_words__ungraded_barring_and_due_for_review() -> None:
    (found,) = told({"text": "knocks when turning", "place": "front", "unsafe": False})["found"]

    defect = Defect.objects.get()
    assert (defect.text, defect.point, defect.graded) == ("front: knocks when turning", "", False)
    assert (defect.severity, defect.bars, defect.authority) == ("before_next_use", "movement", "statutory")
    assert (found["what"], found["hold"]) == ("front: knocks when turning", None)
    assert found["order"] == RepairOrder.objects.get().number
    kept = Report.objects.get()
    assert kept.review_due
    assert kept.faults == [
        {
            "text": "knocks when turning",
            "place": "front",
            "unsafe": False,
            "photos": [],
            "heard_from": "",
            "heard_at": None,
        }
    ]
    (row,) = acting_as("cal").get("yard", unit="LR-45").json()["results"]
    assert row["answer"] == "barred"
    assert "defect_not_graded" in [reason["code"] for reason in row["reasons"]]


def test_same_words_again__another_defect_for_nobody_knows_whether_it_is_the_same() -> None:
    told({"text": "knocks"})
    told({"text": "knocks"}, by="sol")
    assert Defect.objects.count() == 2


@pytest.mark.parametrize(
    ("check_", "text"),
    [
        (check(TIRE, "axle-9-left-outer", "defect", note="flat"), "Trailer tire, axle 9 left outer: flat"),
        (check("lamps.trailer.disco", "", "defect", note="too bright"), "lamps.trailer.disco: too bright"),
    ],
)
def test_fault_reported_where_no_rule_can_place_it__flagged_and_left_to_the_foreman(
    check_: dict[str, Any], text: str
) -> None:
    unit = report(check_)

    assert [item["check"] for item in unit["flags"]] == [0]
    assert [(found["what"], found["severity"]) for found in unit["found"]] == [(text, "before_next_use")]
    assert Defect.objects.get().graded is False
    assert Report.objects.get().checks[0]["verdict"]["outcome"] == "flagged"
    assert Report.objects.get().review_due


# the same fault again -------------------------------------------------------------------------------------------------


def test_seen_again_by_another__one_defect_two_sightings_and_the_hold_told_again() -> None:
    first = report(stroke("axle-1-left", "2.31"))["found"][0]
    notifications = Notification.objects.count()

    (again,) = report(stroke("axle-1-left", "2.40"), by="sol")["found"]

    assert again["how"] == "seen_again"
    assert (again["defect"], again["hold"], again["order"]) == (first["defect"], first["hold"], first["order"])
    assert (Hold.objects.count(), RepairTask.objects.count(), Notification.objects.count()) == (1, 1, notifications)
    assert list(Sighting.objects.order_by("pk").values_list("how", "value", "person__username")) == [
        ("new", Decimal("2.3100"), "iris"),
        ("seen_again", Decimal("2.4000"), "sol"),
    ]


def test_milder_finding__a_sighting_that_lowers_nothing() -> None:
    report(check(TIRE, "axle-1-left-outer", "defect", finding="cord_showing"))
    before = Defect.objects.values().get()

    (found,) = report(check(TIRE, "axle-1-left-outer", "defect", finding="valve_cap_missing"), by="sol")["found"]

    assert Defect.objects.values().get() == before | {"version": 2}
    assert (found["how"], found["severity"], found["hold"]) == ("seen_again", "do_not_move", Hold.objects.get().number)
    assert Sighting.objects.get(how="seen_again").severity == "next_shop_visit"


def test_fine_again__ends_nothing() -> None:
    report(check("lamps.trailer.turn", "left", "defect"))
    before = Defect.objects.values().get()

    report(check("lamps.trailer.turn", "left", "fine"), by="sol")

    assert Defect.objects.values().get() == before


def test_worse_finding__raises_the_defect_and_places_the_hold() -> None:
    first = report(check(TIRE, "axle-1-left-outer", "defect", finding="valve_cap_missing"))["found"][0]
    assert first["hold"] is None

    (found,) = report(check(TIRE, "axle-1-left-outer", "defect", finding="cord_showing"), by="sol")["found"]

    defect = Defect.objects.get()
    assert (found["how"], found["defect"]) == ("raised", first["defect"])
    assert (defect.severity, defect.bars, defect.finding) == ("do_not_move", "movement", "cord_showing")
    assert (defect.found_by.username, defect.version) == ("iris", 2)
    assert (found["hold"], Hold.objects.get().placed_by.username) == (Hold.objects.get().number, "sol")
    assert RepairTask.objects.count() == 1
    kinds = [entry.kind for entry in defect.unit.history.order_by("sequence")]
    assert kinds[-4:] == ["report_signed", "defect_raised", "hold_placed", "repair_task_renamed"]


def test_measured_further_past_its_limit__the_defect_is_named_by_the_worse_value() -> None:
    report(stroke("axle-1-left", "2.31"))
    (found,) = report(stroke("axle-1-left", "2.62"), by="sol")["found"]
    assert (found["how"], found["what"]) == ("seen_again", "Pushrod stroke, axle 1 left: 2.62 in, limit 2 in")
    defect = Defect.objects.get()
    assert (defect.value, defect.version, defect.severity) == (Decimal("2.62"), 2, "do_not_move")

    report(stroke("axle-1-left", "2.12"))
    assert Defect.objects.get().value == Decimal("2.62")


def test_measured_further_past_its_limit__its_task_says_so_and_nobody_is_notified_again() -> None:
    report(stroke("axle-1-left", "2.31"))
    task, notified = RepairTask.objects.get(), Notification.objects.count()
    note_work_begun(Work(task.order.unit_id, task.pk, task.order_id, task.order.number, task.complaint), now=NOON)

    report(stroke("axle-1-left", "2.62"), by="sol")
    report(stroke("axle-1-left", "2.40"), by="sol")

    worse = "Pushrod stroke, axle 1 left: 2.62 in, limit 2 in"
    shown = acting_as("hob").get(f"repair-tasks/{task.pk}").json()
    assert (shown["complaint"], shown["defect"]["what"], shown["version"]) == (worse, worse, task.version + 1)
    assert WorkInProgress.objects.get().what == worse
    entries = [entry for entry in task.order.unit.history.order_by("sequence") if entry.kind == "repair_task_renamed"]
    assert [json.loads(entry.content.body)["complaint"] for entry in entries] == [worse]
    assert Notification.objects.count() == notified


def test_watch_that_became_worse__its_order_opens_now() -> None:
    report(check(TREAD, "axle-1-left-outer", value="2.5", unit_of_measure="32nds"))
    assert not RepairOrder.objects.exists()

    (found,) = report(check(TREAD, "axle-1-left-outer", value="1", unit_of_measure="32nds"), by="sol")["found"]

    assert found["how"] == "raised"
    assert found["order"] == RepairOrder.objects.get().number
    assert Defect.objects.get().value == Decimal(1)


def test_as_severe_but_barring_more__raised() -> None:
    """A belt of the cooling unit was cracked and is missing now: no new cold freight."""
    belts("cracked")
    (found,) = belts("missing_or_slipping", by="sol")["found"]

    assert (found["how"], found["severity"], found["bars"]) == ("raised", "next_shop_visit", "cold_freight")
    assert Defect.objects.get().finding == "missing_or_slipping"


def test_brake_of_the_steering_axle_raised__counts_as_one() -> None:
    steering = stroke("axle-1-left", "1.70")
    report(steering, unit="NL-15")
    Defect.objects.update(severity="watch", bars="nothing", counts_as_service_brake=False, on_steering_axle=False)

    report(stroke("axle-1-left", "2.60"), unit="NL-15", by="sol")

    defect = Defect.objects.get()
    assert (defect.counts_as_service_brake, defect.on_steering_axle) == (True, True)


def test_same_fault_twice_in_one_report__one_defect_with_the_worse_grade() -> None:
    caps = check(TIRE, "axle-1-left-outer", "defect", finding="valve_cap_missing")
    cord = check(TIRE, "axle-1-left-outer", "defect", finding="cord_showing")

    found = report(caps, cord)["found"]

    assert [row["how"] for row in found] == ["new", "seen_again"]
    assert {row["severity"] for row in found} == {"do_not_move"}
    assert Defect.objects.get().finding == "cord_showing"
    assert Hold.objects.count() == 1


# certificates ---------------------------------------------------------------------------------------------------------


def certified_stroke(at: datetime) -> Defect:
    """A stroke found and repaired; the certificate is signed at an instant before now."""
    report(stroke("axle-1-left", "2.31"), at=NOON - 5 * HOUR)
    defect = Defect.objects.get()
    measure(defect, "1.62", person("greta"), at=at - MINUTE)
    certified("greta", defect, signature=signature(at))
    assert Certificate.objects.get().certified_at == at
    return defect


def test_found_after_the_repair__a_new_defect_linked_as_a_comeback() -> None:
    repaired = certified_stroke(NOON - 2 * HOUR)

    (found,) = report(stroke("axle-1-left", "2.12"), by="sol", at=NOON - HOUR)["found"]

    again = Defect.objects.get(number=found["defect"])
    assert (found["how"], found["comeback"]) == ("new", True)
    assert again.comeback_of == repaired
    assert found["hold"] == Hold.objects.get(defect=again).number
    repaired.refresh_from_db()
    assert repaired.state == "certified"


def test_report_from_before_the_repair__late_sighting_without_hold_or_order() -> None:
    repaired = certified_stroke(NOON - 2 * HOUR)
    lift("hob", Hold.objects.get())
    before = contents()
    device = acting_as("sol")

    walk = body([{"unit": "LR-45", "checks": [stroke("axle-1-left", "2.50")]}], finished_at=NOON - 3 * HOUR)
    receipt = put(device, walk)

    assert more_rows(before, contents()) == {
        "defects_walkaround": 1,
        "defects_report": 1,
        "defects_measurement": 1,
        "defects_sighting": 1,
        "fleet_signature": 1,
        "fleet_devicetoken": 1,
        "fleet_historyentry": 2,
        "fleet_historycontent": 2,
    }
    (found,) = receipt["units"][0]["found"]
    assert (found["how"], found["defect"], found["hold"]) == ("late", repaired.number, None)
    assert receipt["says"].startswith("Received. Faults are recorded. Request clearance before you roll.")
    state = repaired.state
    repaired.refresh_from_db()
    assert (repaired.state, repaired.value, repaired.severity) == ("certified", Decimal("2.3100"), "do_not_move")
    assert state == "reported"


def test_report_from_before_the_repair_while_the_hold_still_stands__told_of_it() -> None:
    certified_stroke(NOON - 2 * HOUR)

    (found,) = report(stroke("axle-1-left", "2.50"), by="sol", at=NOON - 3 * HOUR)["found"]

    assert (found["how"], found["hold"]) == ("late", Hold.objects.get().number)
    assert Hold.objects.count() == 1


def put_off(at: datetime) -> Defect:
    """A cracked belt whose repair is certified unnecessary for a week."""
    belts("cracked", at=NOON - 5 * HOUR)
    defect = Defect.objects.get()
    certified(
        "oto",
        defect,
        kind="repair_unnecessary",
        statement="Cracked on the outside only.",
        signature=signature(at),
        limit_on="2026-03-13",
        photo=photo_of(defect).original_id,
    )
    defect.refresh_from_db()
    assert defect.state == "deferred"
    return defect


def test_put_off_and_found_worse_since__raised_reported_again_and_no_longer_covered() -> None:
    defect = put_off(NOON - 2 * HOUR)

    (found,) = belts("missing_or_slipping", by="sol", at=NOON - HOUR)["found"]

    defect.refresh_from_db()
    assert (found["how"], defect.state, defect.current_certificate) == ("raised", "reported", None)
    assert (defect.bars, Certificate.objects.count()) == ("cold_freight", 1)


def test_put_off_and_found_no_worse_since__seen_again_and_still_put_off() -> None:
    defect = put_off(NOON - 2 * HOUR)

    (found,) = belts("cracked", by="sol", at=NOON - HOUR)["found"]

    defect.refresh_from_db()
    assert (found["how"], defect.state) == ("seen_again", "deferred")
    assert defect.current_certificate == Certificate.objects.get()


def test_put_off_and_a_worse_report_from_before_it_comes_late__still_put_off() -> None:
    defect = put_off(NOON - 2 * HOUR)
    before = Defect.objects.values().get()

    (found,) = belts("missing_or_slipping", by="sol", at=NOON - 3 * HOUR)["found"]

    assert found["how"] == "late"
    assert Defect.objects.values().get(pk=defect.pk) == before | {"version": before["version"] + 1}


# who is told ----------------------------------------------------------------------------------------------------------


def test_new_hold__foreman_and_dispatch_are_notified_at_once_each_in_their_language() -> None:
    Person.objects.filter(username="dee").update(language="es")

    receipt = put(
        acting_as("iris"), body([{"unit": "LR-45", "checks": [stroke("axle-1-left", "2.31")]}], finished_at=NOON)
    )

    assert [row["name"] for row in receipt["recipients"]] == ["Cal Wick", "Dee Moss", "Hob Anselm"]
    notifications = {
        str(notification.person.username): notification
        for notification in Notification.objects.select_related("person")
    }
    assert set(notifications) == {"cal", "dee", "hob"}
    assert {notification.kind for notification in notifications.values()} == {NotificationKind.HOLD_PLACED}
    assert {notification.subject_id for notification in notifications.values()} == {Hold.objects.get().pk}
    says = {name: acting_as(name).get("notices").json()["results"][0]["text"] for name in notifications}
    assert says["cal"] == says["hob"]
    assert "Pushrod stroke" in says["hob"]
    assert "axle 1 left" in says["hob"]
    assert "Carrera de la varilla" in says["dee"]
    assert "eje 1 izquierda" in says["dee"]


def test_fault_in_free_text__foreman_notified_once_and_at_once_to_grade_it() -> None:
    walk = body([{"unit": "LR-45", "faults": [{"text": "knocks when turning"}]}], finished_at=NOON)
    device = acting_as("iris")

    receipt = put(device, walk)

    assert receipt["recipients"] == [{"name": "Hob Anselm"}]
    notification = Notification.objects.get()
    assert (notification.kind, notification.subject_id, notification.urgent) == (
        "fault_to_grade",
        Defect.objects.get().pk,
        True,
    )
    (listed,) = acting_as("hob").get("notices").json()["results"]
    assert listed["text"].startswith('Unit LR-45: "knocks when turning", reported by Iris Quade, ')
    assert listed["text"].endswith("Grade it. Called unsafe, it bars until certified.")
    again = device.get(f"walkarounds/{receipt['id']}").json()
    assert again["recipients"] == receipt["recipients"]

    put(acting_as("sol"), body([{"unit": "LR-45"}], finished_at=clock.now()))

    assert Notification.objects.count() == 1


def test_nothing_held_and_nothing_before_next_use__nobody_is_notified() -> None:
    report(check(TIRE, "axle-1-left-outer", "defect", finding="valve_cap_missing"))
    assert not Hold.objects.exists()
    assert not Notification.objects.exists()


def test_fault_before_next_use_without_a_trip__waits_for_the_foremans_digest() -> None:
    lamp = [check("lamps.trailer.turn", "left", "defect", finding="dirty_or_broken")]
    receipt = put(acting_as("iris"), body([{"unit": "LR-45", "checks": lamp}], finished_at=NOON))
    assert set(Notification.objects.values_list("kind", "urgent")) == {(NotificationKind.FAULT_BEFORE_USE, False)}
    assert (receipt["recipients"], receipt["not_reached"]) == ([], [])


def test_driver_who_reads_spanish__answered_in_spanish() -> None:
    Person.objects.filter(username="sol").update(language="es")
    receipt = put(
        acting_as("sol"), body([{"unit": "LR-45", "checks": [stroke("axle-1-left", "2.31")]}], finished_at=NOON)
    )
    assert receipt["says"].startswith("No mueva LR-45. El jefe de taller y despacho están avisados.")
    assert receipt["units"][0]["found"][0]["what"].endswith("eje 1 izquierda: 2.31 in, límite 2 in")


@pytest.mark.parametrize("kind", ["pre_trip", "post_trip"])
def test_fault_that_bars_without_a_hold__the_first_words_say_so(kind: str) -> None:
    faults = [{"text": "knocks when turning"}]
    walk = body([{"unit": "NL-15"}, {"unit": "LR-45", "faults": faults}], finished_at=clock.now(), kind=kind)

    receipt = put(acting_as("iris"), walk)

    says = "Do not drive LR-45 again until the faults are certified. Tell the foreman."
    assert receipt["says"].startswith(says)


def test_one_unit_held_and_another_barred__the_driver_is_notified_of_both() -> None:
    lamp = {"unit": "LR-45", "checks": [check("lamps.trailer.tail", answer="defect", finding="one_out")]}
    held = {"unit": "NL-15", "checks": [check("brakes.parking.hold", answer="defect")]}
    says = put(acting_as("iris"), body([held, lamp], finished_at=clock.now()))["says"]
    assert says.startswith("Do not move NL-15. Foreman and dispatch are notified. Do not drive LR-45 again until ")


def test_fault_nobody_knew_of_put_right_on_the_spot__said_to_be_on_record() -> None:
    done = {"what": "bulb changed, works", "by": "Iris Quade", "photo": "a" * 64}
    lamp = check("lamps.trailer.plate", answer="corrected", correction=done)
    says = put(acting_as("iris"), body([{"unit": "LR-45", "checks": [lamp]}], finished_at=clock.now()))["says"]
    assert says.startswith("Received. Your corrections are recorded. Request clearance before you roll.")
