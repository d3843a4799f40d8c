"""A load at risk over HTTP: opened by a finding, told at once, written up, decided over, ended by the disposition."""

import datetime as dt
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from defects.api.walkarounds.receipts import receipt_answer
from defects.models import Hold, LoadAtRisk, RiskEntry
from defects.rules.walkarounds.body import CheckBody
from defects.selectors.walkarounds.receipts import stored_receipt
from fleet.enums import Role, Scope, SignaturePurpose
from fleet.models import Delivery, Notification, Person, Signature
from tests.factories.fleet import HOUR, NOON, history_of, make_person, qualify
from tests.support.acting import acting_as, codes, refusal
from tests.support.dock import ALARM, Dock, fuel_check
from tests.support.submissions import answer_to

SIGNATURE = {"method": "drawn", "signed_at": NOON.isoformat(), "shown": "I decide what becomes of this food."}
DISPOSED = {"disposition": "core at -8 °F, accepted by the receiver", "signature": SIGNATURE}


def touching_loads(captured: CaptureQueriesContext) -> list[str]:
    return [row["sql"] for row in captured if "defects_load" in row["sql"]]


# Opening


def test_cold_fault_under_a_cold_load__opens_its_record_and_holds_nothing(dock: Dock) -> None:
    load = dock.put(dock.load())
    dock.later()
    receipt = dock.cold_fault()
    risk = LoadAtRisk.objects.get()
    defect = dock.cooling_unit.defects.get()
    assert (risk.load, risk.trailer, risk.defect, risk.state) == (load, dock.trailer, defect, "open")
    assert (risk.opened_at, risk.opened_by) == (defect.found_at, dock["sol"])
    assert receipt.loads_at_risk == [risk.pk]
    assert not Hold.objects.exists()
    assert history_of(dock.trailer)[-1] == "load_at_risk_opened"


def test_notified_at_once__dispatch_and_foremen_however_quiet_the_hour(dock: Dock) -> None:
    Person.objects.filter(pk=dock["cal"].pk).update(email="cal@carrier.invalid")
    dock.put(dock.load())
    dock.later()
    receipt = dock.cold_fault()
    told = Notification.objects.filter(kind="load_at_risk")
    assert sorted(notification.person.name for notification in told) == ["Cal Wick", "Hob Anselm", "Ida Fell"]
    assert {(notification.urgent, notification.subject_id, notification.unit_id) for notification in told} == {
        (True, LoadAtRisk.objects.get().pk, dock.trailer.pk)
    }
    assert [notification.pk for notification in receipt.notifications] == [
        notification.pk for notification in told.order_by("person_id", "pk")
    ]
    delivery = Delivery.objects.get()
    assert (delivery.person, delivery.next_try_at, delivery.summary_on) == (dock["cal"], dock.now, None)
    body = acting_as("cal").get("notices").json()["results"][0]["text"]
    assert "Load L-1 on LR-46 is at risk: Cooling unit alarm: one of class stop is open. Frozen" in body
    assert "Frozen, -10 °F ordered. Reported by Sol Marrin" in body
    assert "This alone does not bar the unit." in body


RISK = "Dispatch and foreman are notified. Call them. Read temperatures."
BARRED = "Do not drive LR-46 again until the faults are certified. Tell the foreman."
UNREADABLE = answer_to("tires.trailer.tread-depth", "defect", place="axle-1-left-outer", value="2,5")


@pytest.mark.parametrize(
    ("beside_it", "says"),
    [
        ([], f"Received. The load is at risk. {RISK} This alone does not bar rolling: request clearance."),
        ([UNREADABLE], f"{BARRED} The load is at risk too. {RISK} Parts of it are flagged: read the flags."),
    ],
    ids=["alone", "beside what bars"],
)
def test_receipt_of_a_cold_fault__never_says_that_the_unit_may_roll(
    dock: Dock, beside_it: list[CheckBody], says: str
) -> None:
    Person.objects.update(email="here@ninefold.example")
    dock.put(dock.load())
    dock.later()
    receipt = dock.hand_in((dock.trailer, beside_it), (dock.cooling_unit, [answer_to(ALARM, "defect")]))
    assert receipt_answer(receipt, "en").says.startswith(says)


def test_receipt_sent_again__names_the_same_record_and_people(dock: Dock) -> None:
    dock.put(dock.load())
    dock.later()
    receipt = dock.cold_fault()
    again = stored_receipt(receipt.walkaround, now=dock.now)
    assert again.loads_at_risk == receipt.loads_at_risk
    assert sorted(notification.pk for notification in again.notifications) == sorted(
        notification.pk for notification in receipt.notifications
    )


def test_fault_of_the_trailer_itself__opens_one_as_well(dock: Dock) -> None:
    dock.put(dock.load("L-1", "chilled"))
    dock.later()
    dock.hand_in((dock.trailer, [answer_to("doors.rear.seal", "defect", place="left")]), kind="en_route")
    assert LoadAtRisk.objects.get().defect == dock.trailer.defects.get()


@pytest.mark.parametrize(
    "load", [None, ("L-1", "dry"), ("L-1", "frozen")], ids=["no load", "a dry load", "delivered before"]
)
def test_no_cold_load_in_the_trailer__none_opened(dock: Dock, load: tuple[str, str] | None) -> None:
    if load is not None:
        stored = dock.put(dock.load(*load))
        if load[1] == "frozen":
            dock.later()
            assert acting_as("sol").post(f"loads/{stored.number}/deliver").status_code == 200
    dock.cold_fault()
    assert not LoadAtRisk.objects.exists()
    assert not Notification.objects.filter(kind="load_at_risk").exists()


def test_no_finding_that_bars_cold_freight__costs_no_statement_of_its_own(dock: Dock) -> None:
    dock.put(dock.load())
    belt = answer_to("cooling.engine.belts", "defect")
    with CaptureQueriesContext(connection) as captured:
        dock.hand_in((dock.cooling_unit, [belt, fuel_check("40")]), kind="en_route")
    assert len(touching_loads(captured)) == 1  # what the load orders, with the facts of the units
    with CaptureQueriesContext(connection) as captured:
        dock.hand_in((dock.cooling_unit, [answer_to(ALARM, "defect")]), kind="en_route")
    assert len(touching_loads(captured)) == 3


def test_second_fault__joins_and_is_notified_but_the_same_fault_again_is_not(dock: Dock) -> None:
    risk = dock.at_risk()
    told = Notification.objects.filter(kind="load_at_risk").count()
    dock.cold_fault()
    assert Notification.objects.filter(kind="load_at_risk").count() == told
    assert history_of(dock.trailer).count("load_at_risk_joined") == 0
    dock.cold_fault(point="cooling.running-mode")
    assert LoadAtRisk.objects.get() == risk
    assert Notification.objects.filter(kind="load_at_risk").count() == 2 * told
    assert history_of(dock.trailer)[-1] == "load_at_risk_joined"


# By a temperature


def warm_product(dock: Dock, product: str = "20") -> LoadAtRisk:
    """A load of frozen food, ordered at 5 °F at most, that Sol loads warmer."""
    ordered = {"number": "L-2", "temperature_class": "frozen", "setpoint_f": "0", "highest_f": "5"}
    acting_as("cal").post("loads", ordered)
    put = acting_as("sol").post("loads/L-2/put-into-trailer", {"trailer": "LR-46", "product_f": product})
    assert put.status_code == 200
    return LoadAtRisk.objects.get()


def steps(dock: Dock) -> list[tuple[str, str]]:
    """What the answer about the load asks for a decision, and of which record."""
    reasons = dock.ask(load="L-2").reasons
    return [(row["code"], row["facts"]["load_at_risk"]) for row in reasons if "load_at_risk" in row["facts"]]


def test_product_loaded_too_warm__is_a_load_at_risk_without_a_fault(dock: Dock) -> None:
    risk = warm_product(dock)
    row = acting_as("cal").get("loads-at-risk", open="true").json()["results"][0]
    assert (row["cause"], row["says"]) == ("product_too_warm", "Product loaded at 20 °F, ordered at most 5 °F")
    assert (row["defect"], row["fault_on"], row["opened_by"]["name"]) == (None, None, "Sol Marrin")
    assert row["opened_at"] == "2026-03-06T18:00:00Z"
    assert history_of(dock.trailer)[-1] == "load_out_of_range"
    told = Notification.objects.filter(kind="load_at_risk")
    assert sorted(each.person.name for each in told) == ["Cal Wick", "Hob Anselm", "Ida Fell"]
    text = acting_as("cal").get("notices").json()["results"][0]["text"]
    assert text.startswith(
        "Load L-2 on LR-46 is at risk: Product loaded at 20 °F, ordered at most 5 °F. "
        "Frozen, 0 °F ordered. Reported by Sol Marrin"
    )
    assert steps(dock) == [("product_too_warm", str(risk.pk))]


def test_history_of_a_load_at_risk_by_a_temperature__says_so_in_words(dock: Dock) -> None:
    warm_product(dock)
    newest = acting_as("cal").get("units/LR-46/history").json()["results"][0]
    assert newest["text"] == "Load L-2 is at risk: product loaded too warm."


def test_decision_over_a_warm_product__ends_its_step_and_the_disposition_its_record(dock: Dock) -> None:
    path = f"loads-at-risk/{warm_product(dock).pk}"
    dock.later()
    acting_as("cal").post(f"{path}/entries", {"kind": "decision", "text": "probe at the receiver"})
    assert steps(dock) == []
    ended = acting_as("vera").post(f"{path}/dispose", DISPOSED, if_match='"2"')
    assert (ended.status_code, ended.json()["state"]) == (200, "closed")


def test_product_within_its_range__opens_none(dock: Dock) -> None:
    with pytest.raises(LoadAtRisk.DoesNotExist):
        warm_product(dock, "5")
    assert not Notification.objects.filter(kind="load_at_risk").exists()


def test_warm_product_under_a_load_at_risk__joins_its_record_and_asks_anew(dock: Dock) -> None:
    risk = dock.at_risk()
    path = f"loads-at-risk/{risk.pk}"
    dock.later()
    decided = {"kind": "decision", "text": "go on", "at": (NOON - HOUR / 2).isoformat()}
    acting_as("cal").post(f"{path}/entries", decided)
    assert dock.ask(load="L-1").reasons == []
    load = risk.load
    warm = acting_as("cal").patch("loads/L-1", {"product_f": "30"}, if_match=f'"{load.version}"')
    assert warm.status_code == 200
    row = acting_as("cal").get(path).json()
    assert (row["cause"], row["defect"], row["version"]) == (
        "product_too_warm",
        dock.cooling_unit.defects.get().number,
        3,
    )
    assert [reason["code"] for reason in dock.ask(load="L-1").reasons] == ["product_too_warm"]
    told = Notification.objects.filter(kind="load_at_risk").count()
    version = warm.json()["version"]
    assert acting_as("cal").patch("loads/L-1", {"product_f": "31"}, if_match=f'"{version}"').status_code == 200
    assert Notification.objects.filter(kind="load_at_risk").count() == told


def test_corrected_product__takes_back_no_record_and_still_asks_for_a_decision(dock: Dock) -> None:
    risk = warm_product(dock)
    version = risk.load.version
    corrected = acting_as("cal").patch("loads/L-2", {"product_f": "2"}, if_match=f'"{version}"')
    assert (corrected.status_code, corrected.json()["product_says"]) == (200, "")
    row = acting_as("cal").get(f"loads-at-risk/{risk.pk}").json()
    assert (row["cause"], row["says"]) == ("product_corrected", "Product temperature or ordered range corrected since")
    assert steps(dock) == [("load_at_risk_undecided", str(risk.pk))]


# Writing up


def test_entries__in_order_by_whom_and_never_changed(dock: Dock) -> None:
    risk = dock.at_risk()
    path = f"loads-at-risk/{risk.pk}"
    sol, cal = acting_as("sol"), acting_as("cal")
    reading = {"kind": "reading", "at": (NOON - HOUR / 2).isoformat(), "return_air_f": "12.5", "product_f": "-6"}
    assert sol.post(f"{path}/entries", reading).status_code == 201
    assert sol.post(f"{path}/entries", {"kind": "call", "text": "shipper told"}).status_code == 201
    decided = cal.post(f"{path}/entries", {"kind": "decision", "text": "go on to Cold Store Three"})
    body = decided.json()
    assert [(row["kind"], row["person"]["name"], row["text"]) for row in body["entries"]] == [
        ("reading", "Sol Marrin", ""),
        ("call", "Sol Marrin", "shipper told"),
        ("decision", "Cal Wick", "go on to Cold Store Three"),
    ]
    first = body["entries"][0]
    assert (first["return_air_f"], first["product_f"], first["at"]) == ("12.5", "-6.0", "2026-03-06T17:30:00Z")
    assert (body["state"], body["load"], body["setpoint_f"], body["fault_on"]["number"]) == (
        "open",
        "L-1",
        "-10.0",
        "CU-46",
    )
    assert (decided.headers["ETag"][:3], body["version"]) == ('"4-', 4)
    assert history_of(dock.trailer)[-3:] == ["load_at_risk_entry"] * 3
    assert sol.get(path).json()["allowed_actions"] == ["add_reading", "add_call"]
    assert cal.get(path).json()["allowed_actions"] == ["add_reading", "add_call", "add_decision", "dispose"]


@pytest.mark.parametrize(
    ("by", "entry", "problem", "pointers"),
    [
        ("sol", {"kind": "reading"}, (422, "reading_without_temperature"), ["/return_air_f", "/product_f"]),
        ("sol", {"kind": "call"}, (422, "required_fields_missing"), ["/text"]),
        ("sol", {"kind": "call", "text": " "}, (422, "invalid"), ["/text"]),
        ("cal", {"kind": "decision"}, (422, "required_fields_missing"), ["/text"]),
        ("sol", {"kind": "decision", "text": "go on"}, (403, "role_not_allowed"), []),
        ("sol", {"kind": "guess", "text": "x"}, (422, "invalid"), ["/kind"]),
        ("sol", {"kind": "call", "text": "x", "at": "2026-03-06T18:00:01Z"}, (422, "instant_in_future"), ["/at"]),
    ],
)
def test_entry_that_says_nothing_or_is_not_theirs__refused_and_not_written(
    dock: Dock, by: str, entry: dict[str, str], problem: tuple[int, str], pointers: list[str]
) -> None:
    risk = dock.at_risk()
    answer = acting_as(by).post(f"loads-at-risk/{risk.pk}/entries", entry)
    assert refusal(answer) == problem
    assert [pointer for pointer, _ in codes(answer)] == pointers
    assert not RiskEntry.objects.exists()
    assert LoadAtRisk.objects.get().version == 1


# The food


def test_disposition__signed_by_a_qualified_person_ends_it(dock: Dock) -> None:
    risk = dock.at_risk()
    path = f"loads-at-risk/{risk.pk}"
    cal, vera = acting_as("cal"), acting_as("vera")
    before = LoadAtRisk.objects.values().get()
    assert refusal(vera.post(f"{path}/dispose", DISPOSED)) == (428, "if_match_required")
    assert refusal(vera.post(f"{path}/dispose", DISPOSED, if_match='"9"')) == (412, "version_changed")
    assert refusal(cal.post(f"{path}/dispose", DISPOSED, if_match='"1"')) == (
        403,
        "food_disposition_qualification_needed",
    )
    assert codes(vera.post(f"{path}/dispose", {"signature": SIGNATURE}, if_match='"1"')) == [
        ("/disposition", "required")
    ]
    later = {**SIGNATURE, "signed_at": (NOON + HOUR).isoformat()}
    assert refusal(vera.post(f"{path}/dispose", {**DISPOSED, "signature": later}, if_match='"1"')) == (
        422,
        "signed_in_future",
    )
    assert LoadAtRisk.objects.values().get() == before
    ended = vera.post(f"{path}/dispose", DISPOSED, if_match='"1"').json()
    assert (ended["state"], ended["disposition"], ended["disposed_by"]["name"]) == (
        "closed",
        DISPOSED["disposition"],
        "Vera Holt",
    )
    assert (ended["closed_at"], ended["allowed_actions"]) == ("2026-03-06T18:00:00Z", [])
    signature = Signature.objects.get(purpose=SignaturePurpose.DISPOSITION)
    assert (signature.signer, signature.shown) == (dock["vera"], SIGNATURE["shown"])
    assert history_of(dock.trailer)[-1] == "load_at_risk_disposed"
    for move, body in (("entries", {"kind": "call", "text": "late"}), ("dispose", DISPOSED)):
        assert refusal(vera.post(f"{path}/{move}", body, if_match='"2"')) == (409, "action_not_allowed")


def test_qualification_that_ended_yesterday__is_none(dock: Dock) -> None:
    risk = dock.at_risk()
    dee = make_person("Dee Moss", Role.DISPATCH)
    qualify(dee, Scope.FOOD_DISPOSITION, ends_on=dt.date(2026, 3, 5))
    answer = acting_as(dee).post(f"loads-at-risk/{risk.pk}/dispose", DISPOSED, if_match='"1"')
    assert refusal(answer) == (403, "food_disposition_qualification_needed")


def test_next_fault_after_the_disposition__another_record(dock: Dock) -> None:
    risk = dock.at_risk()
    acting_as("vera").post(f"loads-at-risk/{risk.pk}/dispose", DISPOSED, if_match='"1"')
    dock.now = NOON
    dock.cold_fault(point="cooling.running-mode")
    assert [row.state for row in LoadAtRisk.objects.order_by("pk")] == ["closed", "open"]


def test_lists__by_state_trailer_and_load(dock: Dock) -> None:
    risk = dock.at_risk()
    cal = acting_as("cal")

    def found(**query: str) -> list[Any]:
        return [row["id"] for row in cal.get("loads-at-risk", **query).json()["results"]]

    for query in ({"open": "true"}, {"trailer": "LR-46"}, {"load": "l-1"}):
        assert found(**query) == [str(risk.pk)]
    for query in ({"open": "false"}, {"trailer": "NL-13"}):
        assert found(**query) == []
    assert refusal(cal.get("loads-at-risk/019a0000-0000-7000-8000-000000000404")) == (404, "load_at_risk_unknown")
