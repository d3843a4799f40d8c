"""Loads over HTTP: recorded, changed, moved at the dock and called off; what is refused, and that nothing changed."""

import datetime as dt
from decimal import Decimal
from typing import Any

import pytest

from defects.enums import Bars, Severity
from defects.models import Load, LoadAtRisk
from defects.services.defects.evidence import Until
from fleet.enums import UnitKind
from fleet.models import Notification, Unit
from tests.factories.fleet import HOUR, NOON, history_of, make_mounting, make_unit
from tests.support.acting import Device, acting_as, codes, refusal
from tests.support.dock import Dock, make_cooling_unit
from tests.support.yard import photo_on

FROZEN = {"number": "nl-7001", "temperature_class": "frozen", "setpoint_f": "-10"}
MINUTE = dt.timedelta(minutes=1)


@pytest.fixture
def cal(dock: Dock) -> Device:
    return acting_as(dock["cal"])


@pytest.fixture
def sol(dock: Dock) -> Device:
    return acting_as(dock["sol"])


@pytest.fixture
def other(dock: Dock) -> Unit:
    """Another trailer with a cooling unit of its own."""
    trailer = make_unit(UnitKind.TRAILER, "LR-47")
    make_mounting(trailer, make_cooling_unit("CU-47"))
    return trailer


def rows() -> list[dict[str, Any]]:
    return [dict(row) for row in Load.objects.order_by("number").values()]


# The desk's records


def test_recorded__shown_with_its_tag_and_found_by_number_and_key(cal: Device, sol: Device) -> None:
    made = cal.post(
        "loads", {**FROZEN, "lowest_f": "-12.5", "highest_f": "-5", "mode": "continuous", "us_states": ["IL", "IA"]}
    )
    assert made.status_code == 201
    body = made.json()
    assert (body["number"], body["state"], body["setpoint_f"], body["lowest_f"]) == (
        "NL-7001",
        "planned",
        "-10.0",
        "-12.5",
    )
    assert (body["mode"], body["us_states"], body["food"], body["trailer"]) == ("continuous", ["IL", "IA"], True, None)
    assert body["allowed_actions"] == ["edit", "check_before_loading", "put_into_trailer", "cancel"]
    assert (body["version"], made.headers["Location"]) == (1, f"/api/v1/loads/{body['id']}")
    for ref in ("NL-7001", "nl-7001", body["id"]):
        read = sol.get(f"loads/{ref}")
        assert read.json() == {**body, "allowed_actions": ["check_before_loading", "put_into_trailer"]}
    assert refusal(sol.get("loads/NL-7002")) == (404, "load_unknown")


def test_mode__cycling_as_the_catalogue_says(cal: Device) -> None:
    made = cal.post("loads", {**FROZEN, "mode": "cycling"})
    assert (made.status_code, made.json()["mode"]) == (201, "cycling")
    assert cal.post("loads", {**FROZEN, "number": "nl-7002", "mode": "start_stop"}).status_code == 422


@pytest.mark.parametrize(
    ("changes", "problems"),
    [
        ({"setpoint_f": None}, [("/setpoint_f", "setpoint_missing")]),
        ({"number": "NL 7"}, [("/number", "load_number_malformed")]),
        (
            {"lowest_f": "0", "highest_f": "-20"},
            [("/highest_f", "temperatures_out_of_order"), ("/setpoint_f", "setpoint_outside_range")],
        ),
        ({"highest_f": "-11"}, [("/setpoint_f", "setpoint_outside_range")]),
        (
            {"setpoint_f": "-41", "lowest_f": "-50", "highest_f": "90.5"},
            [(f"/{name}", "temperature_implausible") for name in ("setpoint_f", "lowest_f", "highest_f")],
        ),
        ({"us_states": ["IL", "XX"]}, [("/us_states/1", "state_unknown")]),
        ({"temperature_class": "warm"}, [("/temperature_class", "invalid_choice")]),
        ({"setpoint_f": "-10.25"}, [("/setpoint_f", "max_decimal_places")]),
        ({"pre_load_checked_at": NOON.isoformat()}, [("/pre_load_checked_at", "unknown_field")]),
        ({"seal": "S\x07"}, [("/seal", "text_control")]),
    ],
)
def test_recorded_wrongly__refused_at_each_field_and_nothing_stored(
    cal: Device, changes: dict[str, Any], problems: list[tuple[str, str]]
) -> None:
    answer = cal.post("loads", {**FROZEN, **changes})
    assert (answer.status_code, codes(answer)) == (422, problems)
    assert rows() == []


def test_number_of_another_load__refused_upper_or_lower_case(cal: Device) -> None:
    cal.post("loads", FROZEN)
    before = rows()
    assert refusal(cal.post("loads", {**FROZEN, "number": "NL-7001"})) == (409, "load_number_taken")
    assert rows() == before


def test_sent_again_with_its_key__recorded_once(cal: Device) -> None:
    first, again = (cal.post("loads", FROZEN, key="one") for _ in range(2))
    assert (again.json(), again.headers["Idempotency-Replayed"]) == (first.json(), "true")
    assert len(rows()) == 1


def test_changed__only_as_the_version_seen_and_until_it_is_delivered(cal: Device, dock: Dock) -> None:
    cal.post("loads", FROZEN)
    before = rows()
    assert refusal(cal.patch("loads/NL-7001", {"seal": "S-1"})) == (428, "if_match_required")
    assert refusal(cal.patch("loads/NL-7001", {"seal": "S-1"}, if_match='"7"')) == (412, "version_changed")
    assert codes(cal.patch("loads/NL-7001", {"setpoint_f": None}, if_match='"1"')) == [
        ("/setpoint_f", "setpoint_missing")
    ]
    assert rows() == before
    changed = cal.patch("loads/NL-7001", {"seal": "S-1", "number": "NL-7009"}, if_match='"1"')
    assert (changed.json()["seal"], changed.json()["number"], changed.json()["version"]) == ("S-1", "NL-7009", 2)
    cal.post("loads/NL-7009/put-into-trailer", {"trailer": "LR-46", "loaded_at": (NOON - HOUR).isoformat()})
    cal.post("loads/NL-7009/deliver")
    assert refusal(cal.patch("loads/NL-7009", {"seal": "S-2"}, if_match='"4"')) == (409, "action_not_allowed")


def test_load_changed_while_loaded__is_in_the_trailers_history_with_its_new_seal(
    cal: Device, sol: Device, dock: Dock
) -> None:
    cal.post("loads", {**FROZEN, "seal": "S-1"})
    cal.post("loads/NL-7001/put-into-trailer", {"trailer": "LR-46"})
    sol.post("loads/NL-7001/compare-seal", {"seal": "S-1"})
    changed = cal.patch("loads/NL-7001", {"seal": "S-2", "setpoint_f": "-5"}, if_match='"3"')
    assert changed.json()["seal_checked_at"] is None
    entry = dock.trailer.history.order_by("sequence").last()
    assert entry is not None
    assert entry.kind == "load_changed"
    assert '"is":{"seal":"S-2","setpoint_f":"-5.0"},"load":"NL-7001","was":{"seal":"S-1","setpoint_f":"-10.0"}' in (
        entry.content.body
    )
    cal.patch("loads/NL-7001", {"seal": "S-2"}, if_match=changed.headers["ETag"])
    assert dock.trailer.history.order_by("sequence").last() == entry


def test_called_off__while_planned_alone(cal: Device) -> None:
    cal.post("loads", FROZEN)
    assert refusal(cal.post("loads/NL-7001/cancel", {"reason": "by the shipper"})) == (428, "if_match_required")
    gone = cal.post("loads/NL-7001/cancel", {"reason": "by the shipper"}, if_match='"1"')
    assert (gone.json()["state"], gone.json()["cancel_reason"], gone.json()["allowed_actions"]) == (
        "cancelled",
        "by the shipper",
        [],
    )
    again = cal.post("loads/NL-7001/put-into-trailer", {"trailer": "LR-46"})
    assert refusal(again) == (409, "action_not_allowed")
    assert again.json()["allowed_actions"] == []
    cal.post("loads", {**FROZEN, "number": "NL-7002"})
    cal.post("loads/NL-7002/put-into-trailer", {"trailer": "LR-46"})
    assert refusal(cal.post("loads/NL-7002/cancel", {"reason": "no"}, if_match='"2"')) == (409, "action_not_allowed")


def test_lists__by_state_trailer_and_class(cal: Device) -> None:
    for number, kind in (("A-1", "frozen"), ("A-2", "dry"), ("A-3", "dry"), ("A-4", "chilled")):
        cal.post("loads", {**FROZEN, "number": number, "temperature_class": kind})
    cal.post("loads/A-1/put-into-trailer", {"trailer": "LR-46"})
    cal.post("loads/A-2/cancel", {"reason": "no"}, if_match='"1"')

    def found(**query: str) -> list[str]:
        return sorted(row["number"] for row in cal.get("loads", **query).json()["results"])

    assert found(state="planned") == ["A-3", "A-4"]
    assert found(state="loaded") == found(trailer="lr-46") == ["A-1"]
    assert found(state="cancelled") == ["A-2"]
    assert found(state="delivered") == []
    assert found(temperature_class="dry") == ["A-2", "A-3"]


# At the dock


def test_its_way__checked_loaded_compared_and_delivered(cal: Device, sol: Device, dock: Dock) -> None:
    cal.post("loads", {**FROZEN, "seal": "S 77"})
    before = len(history_of(dock.trailer))
    at = (NOON - 3 * MINUTE).isoformat()
    checked = sol.post("loads/NL-7001/check-before-loading", {"trailer": "LR-46", "checked_at": at})
    assert (checked.json()["state"], checked.json()["pre_load_checked_at"]) == ("planned", "2026-03-06T17:57:00Z")
    loaded = sol.post("loads/NL-7001/put-into-trailer", {"trailer": "lr-46", "loaded_at": (NOON - MINUTE).isoformat()})
    body = loaded.json()
    assert (body["state"], body["trailer"]["number"], body["loaded_at"]) == ("loaded", "LR-46", "2026-03-06T17:59:00Z")
    assert body["pre_load_checked_at"] == "2026-03-06T17:57:00Z"
    assert body["allowed_actions"] == ["transload", "compare_seal", "weigh", "deliver"]
    compared = sol.post("loads/NL-7001/compare-seal", {"seal": "s77"})
    assert (compared.json()["seal_checked_at"], compared.json()["seal_checked_by"]["name"]) == (
        "2026-03-06T18:00:00Z",
        "Sol Marrin",
    )
    delivered = sol.post("loads/NL-7001/deliver")
    assert (delivered.json()["state"], delivered.json()["delivered_at"]) == ("delivered", "2026-03-06T18:00:00Z")
    assert history_of(dock.trailer)[before:] == ["box_checked_before_loading", "loaded", "seal_compared", "unloaded"]


@pytest.mark.parametrize(
    ("move", "body", "status", "code"),
    [
        ("put-into-trailer", {"trailer": "NL-13"}, 422, "not_a_trailer"),
        ("put-into-trailer", {"trailer": "ZZ-1"}, 422, "unit_unknown"),
        ("put-into-trailer", {}, 422, "invalid"),
        ("put-into-trailer", {"trailer": "LR-46", "loaded_at": "2026-03-06T18:00:01Z"}, 422, "instant_in_future"),
        ("check-before-loading", {"trailer": "LR-46", "checked_at": "2026-03-07T00:00:00Z"}, 422, "instant_in_future"),
        ("transload", {"trailer": "LR-46"}, 409, "action_not_allowed"),
        ("compare-seal", {"seal": "S-1"}, 409, "action_not_allowed"),
        ("deliver", {}, 409, "action_not_allowed"),
    ],
)
def test_planned_load__what_cannot_be_said_of_it_changes_nothing(
    cal: Device, sol: Device, dock: Dock, move: str, body: dict[str, str], status: int, code: str
) -> None:
    cal.post("loads", {**FROZEN, "seal": "S-1"})
    before = rows(), history_of(dock.trailer)
    answer = sol.post(f"loads/NL-7001/{move}", body)
    assert refusal(answer) == (status, code)
    assert (rows(), history_of(dock.trailer)) == before


def test_loaded_load__what_cannot_be_said_of_it_changes_nothing(
    cal: Device, sol: Device, dock: Dock, other: Unit
) -> None:
    cal.post("loads", {**FROZEN, "seal": "S-1"})
    cal.post("loads", {**FROZEN, "number": "NL-7002"})
    sol.post("loads/NL-7001/put-into-trailer", {"trailer": "LR-46", "loaded_at": (NOON - MINUTE).isoformat()})
    before = rows(), history_of(dock.trailer)
    early = (NOON - 2 * MINUTE).isoformat()
    asked = {
        "put-into-trailer": ({"trailer": "LR-47"}, (409, "action_not_allowed")),
        "check-before-loading": ({"trailer": "LR-46"}, (409, "action_not_allowed")),
        "transload": ({"trailer": "LR-46"}, (422, "same_trailer")),
        "deliver": ({"delivered_at": early}, (422, "end_before_beginning")),
    }
    for move, (body, problem) in asked.items():
        assert refusal(sol.post(f"loads/NL-7001/{move}", body)) == problem, move
    late = {"seal": "S-1", "compared_at": early}
    assert refusal(sol.post("loads/NL-7001/compare-seal", late)) == (422, "end_before_beginning")
    assert refusal(sol.post("loads/NL-7002/put-into-trailer", {"trailer": "LR-46"})) == (409, "trailer_loaded")
    assert (rows(), history_of(dock.trailer)) == before


def test_no_seal_on_the_papers__nothing_to_compare(cal: Device, sol: Device) -> None:
    cal.post("loads", FROZEN)
    sol.post("loads/NL-7001/put-into-trailer", {"trailer": "LR-46"})
    assert refusal(sol.post("loads/NL-7001/compare-seal", {"seal": "S-1"})) == (409, "load_not_sealed")


def test_transloaded__into_another_trailer_whose_box_was_not_checked(
    cal: Device, sol: Device, dock: Dock, other: Unit
) -> None:
    cal.post("loads", {**FROZEN, "seal": "S-1"})
    sol.post("loads/NL-7001/check-before-loading", {"trailer": "LR-46"})
    sol.post("loads/NL-7001/put-into-trailer", {"trailer": "LR-46", "loaded_at": (NOON - MINUTE).isoformat()})
    moved = cal.post("loads/NL-7001/transload", {"trailer": "LR-47"}).json()
    assert (moved["trailer"]["number"], moved["loaded_at"]) == ("LR-47", "2026-03-06T18:00:00Z")
    assert (moved["pre_load_checked_at"], moved["seal_checked_at"]) == (None, None)
    assert history_of(dock.trailer)[-1] == "unloaded"
    assert history_of(other)[-1] == "loaded"


# Cold freight


def test_cold_fault__keeps_new_cold_freight_out_and_lets_dry_freight_in(cal: Device, dock: Dock) -> None:
    dock.cold_fault()
    cal.post("loads", FROZEN)
    cal.post("loads", {"number": "D-1", "temperature_class": "dry"})
    before = rows()
    answer = cal.post("loads/NL-7001/put-into-trailer", {"trailer": "LR-46"})
    assert refusal(answer) == (409, "cold_loading_barred")
    assert answer.json()["defects"] == [dock.cooling_unit.defects.get().number]
    assert rows() == before
    assert cal.post("loads/D-1/put-into-trailer", {"trailer": "LR-46"}).status_code == 200


def test_dry_load_made_a_cold_one_in_such_a_trailer__refused_as_loading_is(cal: Device, dock: Dock) -> None:
    dock.cold_fault()
    cal.post("loads", {"number": "D-1", "temperature_class": "dry"})
    cal.post("loads/D-1/put-into-trailer", {"trailer": "LR-46"})
    before = rows()
    made_cold = {"temperature_class": "chilled", "setpoint_f": "34"}
    assert refusal(cal.patch("loads/D-1", made_cold, if_match='"2"')) == (409, "cold_loading_barred")
    assert rows() == before


def test_dry_load_made_a_cold_one_over_a_fault_found_since__at_risk(cal: Device, dock: Dock) -> None:
    load = dock.put(dock.load("D-1", "dry"))
    dock.later()
    dock.cold_fault()
    assert not LoadAtRisk.objects.exists()

    made_cold = {"temperature_class": "chilled", "setpoint_f": "34"}
    assert cal.patch("loads/D-1", made_cold, if_match='"2"').status_code == 200

    risk = LoadAtRisk.objects.get()
    assert (risk.load, risk.defect) == (load, dock.cooling_unit.defects.get())
    told = Notification.objects.filter(kind="load_at_risk", subject_id=risk.pk).values_list("person__name", flat=True)
    assert sorted(told) == ["Cal Wick", "Hob Anselm", "Ida Fell"]


def test_fault_put_off_by_a_certificate__bars_cold_freight_as_before_until_it_is_regraded(
    cal: Device, dock: Dock
) -> None:
    dock.cold_fault()
    defect = dock.cooling_unit.defects.get()
    dock.dismiss(defect, photo=photo_on(defect), until=Until(on=dt.date(2026, 3, 6)))
    cal.post("loads", FROZEN)
    refused = cal.post("loads/NL-7001/put-into-trailer", {"trailer": "LR-46"})
    assert (refused.status_code, refused.json()["code"]) == (409, "cold_loading_barred")
    defect.refresh_from_db()
    dock.regrade(defect, Severity.WATCH, Bars.NOTHING)
    assert cal.post("loads/NL-7001/put-into-trailer", {"trailer": "LR-46"}).status_code == 200


def test_no_cooling_unit__no_cold_freight(cal: Device) -> None:
    make_unit(UnitKind.TRAILER, "LR-48")
    cal.post("loads", FROZEN)
    assert refusal(cal.post("loads/NL-7001/put-into-trailer", {"trailer": "LR-48"})) == (409, "no_cooling_unit")


def test_food_at_risk_not_disposed_of__no_new_cold_freight(cal: Device, dock: Dock) -> None:
    risk = dock.at_risk()
    dock.cooling_unit.defects.update(state="entered_in_error")
    cal.post(f"loads/{risk.load.number}/deliver")
    cal.post("loads", FROZEN)
    answer = cal.post("loads/NL-7001/put-into-trailer", {"trailer": "LR-46"})
    assert refusal(answer) == (409, "food_not_disposed")
    assert answer.json()["loads_at_risk"] == [str(risk.pk)]


def test_loaded_before_the_fault_was_found__kept_and_at_risk_from_the_start(cal: Device, dock: Dock) -> None:
    """A shipper had filled it already: the fact is taken, and the food is looked after."""
    dock.cold_fault()
    found = dock.cooling_unit.defects.get()
    cal.post("loads", {**FROZEN, "pre_loaded": True})
    before = (found.found_at - MINUTE).isoformat()
    assert cal.post("loads/NL-7001/put-into-trailer", {"trailer": "LR-46", "loaded_at": before}).status_code == 200
    risk = LoadAtRisk.objects.get()
    assert (risk.load.number, risk.defect, risk.opened_at, risk.opened_by) == (
        "NL-7001",
        found,
        found.found_at,
        dock["cal"],
    )
    assert Load.objects.get().setpoint_f == Decimal("-10.0")


def test_warm_product__is_said_on_the_load_and_asks_for_a_decision(dock: Dock) -> None:
    ordered = {"number": "NL-7002", "temperature_class": "frozen", "setpoint_f": "0", "highest_f": "5"}
    acting_as("cal").post("loads", ordered)
    put = acting_as("sol").post("loads/NL-7002/put-into-trailer", {"trailer": "LR-46", "product_f": "20"}).json()
    assert put["product_says"] == "Product loaded at 20 °F, ordered at most 5 °F"
    found = [(row["code"], row["source"]) for row in dock.ask(load="NL-7002").reasons]
    assert found == [("product_too_warm", "21 CFR 1.908; common practice: load no warm product")]
