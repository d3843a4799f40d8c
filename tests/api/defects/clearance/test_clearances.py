"""Dispatch's question over HTTP: asked, answered in one's own words, kept; and the yard as it stands."""

from typing import Any

import pytest

from defects.enums import RiskEntryKind
from defects.models import Clearance
from defects.services.holds.by_person import place_hold
from defects.services.loads.loads_at_risk import Note, enter
from fleet.enums import UnitKind
from fleet.models import Coupling, Person, Unit
from fleet.services.units.couplings import uncouple
from tests.factories.fleet import HOUR, NOON, make_unit
from tests.support.acting import acting_as, codes
from tests.support.dock import Dock
from tests.support.routes import NO_KEY

ASK = {"units": ["NL-13", "LR-46"], "arrival": (NOON + 10 * HOUR).isoformat()}


def asked(dock: Dock, by: str = "cal", **more: Any) -> dict[str, Any]:
    answer = acting_as(by).post("clearances", {**ASK, **more})
    assert answer.status_code == 201, answer.content
    body: dict[str, Any] = answer.json()
    return body


def yard(dock: Dock, **query: str) -> dict[str, dict[str, Any]]:
    return {row["unit"]: row for row in acting_as("cal").get("yard", **query).json()["results"]}


# Asking


def test_driver_who_asks_and_names_nobody__is_the_driver(dock: Dock) -> None:
    """Else an expired card of one's own is never looked at."""
    assert asked(dock, by="sol")["driver"]["name"] == "Sol Marrin"
    assert asked(dock, by="sol", driver=str(dock["iris"].pk))["driver"]["name"] == dock["iris"].name
    assert asked(dock, by="cal")["driver"] is None


def test_asked__answered_with_everything_it_was_about_and_where_it_can_be_read_again(dock: Dock) -> None:
    load = dock.load()
    made = acting_as("cal").post("clearances", {**ASK, "load": "l-1", "driver": str(dock["sol"].pk), "miles": "412.5"})
    assert asked(dock, load=str(load.pk))["load"] == load.number
    body = made.json()
    assert (made.status_code, made.headers["Location"]) == (201, f"/api/v1/clearances/{body['id']}")
    assert (body["units"], body["load"], body["driver"]["name"], body["miles"], body["requested_by"]["name"]) == (
        ["NL-13", "LR-46", "CU-46"],
        load.number,
        "Sol Marrin",
        "412.5",
        "Cal Wick",
    )
    assert (body["departure"], body["requested_at"]) == ("2026-03-06T18:00:00Z", "2026-03-06T18:00:00Z")
    assert (body["answer"], body["says"], body["reasons"], body["clears_at"]) == (
        "nothing_known_against",
        "Nothing known to the service bars it. The driver decides at the vehicle.",
        [],
        None,
    )
    assert body["valid_until"] == body["first_to_end_it"]["at"] == "2026-03-07T18:01:00Z"
    assert body["first_to_end_it"]["says"] == "CU-46: walk-around due again."
    read = acting_as("iris").get(f"clearances/{body['id']}").json()
    assert {**read, "units": sorted(read["units"])} == {**body, "units": sorted(body["units"])}


def test_barred__each_reason_with_its_source_its_end_and_expected_time(dock: Dock) -> None:
    """Days 8 and 19 of the scenario."""
    defect = dock.stroke()
    defect.expected_at = NOON + 5 * HOUR
    defect.save(update_fields=["expected_at"])
    body = asked(dock)
    says = "Barred. It may not roll as requested. All of this is expected to end Fri 6 Mar 5:00 PM."
    assert (body["answer"], body["says"], body["valid_until"]) == ("barred", says, None)
    hold, fault, review = body["reasons"]
    assert (hold["code"], hold["kind"], hold["unit"]) == ("carrier_hold", "bars", "LR-46")
    assert hold["says"] == (
        f"LR-46: hold {defect.holds.get().number} is active: Pushrod stroke, axle 2 right: 2.31 "
        "in, limit 2 in. Expected to end Fri 6 Mar 5:00 PM."
    )
    assert hold["ends"] == "when a foreman who had no part in the repair lifts the hold"
    assert fault["says"] == (
        f"LR-46: Pushrod stroke, axle 2 right: 2.31 in, limit 2 in. Defect {defect.number} needs "
        "its certificate before LR-46 is operated again. Expected to end Fri 6 Mar 5:00 PM."
    )
    assert (fault["ends"], fault["source"]) == ("when it is repaired and certified", "49 CFR 396.11(a)(3), 396.13")
    assert {row["expected_at"] for row in (hold, fault)} == {"2026-03-06T23:00:00Z"}
    assert body["clears_at"] == "2026-03-06T23:00:00Z"
    assert (review["kind"], review["code"]) == ("driver_step", "review_not_signed")
    assert Clearance.objects.get().answer == "barred"


def test_one_bar_without_an_expected_time__no_time_for_the_whole(dock: Dock) -> None:
    defect = dock.stroke()
    defect.expected_at = NOON + 5 * HOUR
    defect.save(update_fields=["expected_at"])
    dock.finding("lamps.trailer.socket")
    unpromised = asked(dock)
    assert (unpromised["clears_at"], unpromised["says"]) == (
        None,
        "Barred. It may not roll as requested. Nobody knows yet when all of this ends.",
    )


def test_answer__in_the_language_of_whoever_reads_it(dock: Dock) -> None:
    dock.finding("lamps.trailer.turn", "left")
    key = asked(dock)["id"]
    Person.objects.filter(pk=dock["sol"].pk).update(language="es")
    dock.people["sol"].refresh_from_db()
    body = acting_as("sol").get(f"clearances/{key}").json()
    assert body["says"] == "Impedido. No puede salir como se pidió. Aún no se sabe cuándo termina todo esto."
    assert any("izquierda" in reason["says"] for reason in body["reasons"])


def test_hold__says_what_it_is_for_in_the_readers_language_in_answer_and_yard(dock: Dock) -> None:
    hold = dock.stroke().holds.get()
    place_hold(unit_id=dock.trailer.pk, defect_id=None, reason="smells burnt.", actor=dock["hob"], now=NOON)
    Person.objects.filter(pk=dock["sol"].pk).update(language="es")
    dock.people["sol"].refresh_from_db()
    key = asked(dock)["id"]
    said = [row["says"] for row in acting_as("sol").get(f"clearances/{key}").json()["reasons"]]
    fault = "Carrera de la varilla de empuje, eje 2 derecha: 2.31 in, límite 2 in."
    assert f"LR-46: la retención {hold.number} está activa: {fault}" in said
    assert any(words.endswith(": smells burnt.") for words in said)


@pytest.mark.parametrize(
    ("changes", "problem"),
    [
        ({"units": []}, ("/units", "empty")),
        ({"units": ["NL-13", "ZZ-1"]}, ("/units/1", "unit_unknown")),
        ({"units": ["NL-13", "NL-15"]}, ("/units", "combination_impossible")),
        ({"arrival": (NOON - HOUR).isoformat()}, ("/arrival", "arrival_before_departure")),
        ({"arrival": "2026-03-07T04:00:00"}, ("/arrival", "instant_without_offset")),
        ({"arrival": "9999-12-31T23:59:59Z"}, ("/arrival", "not_an_instant")),
        ({"departure": "0001-01-01T00:00:00Z"}, ("/departure", "not_an_instant")),
        ({"miles": "-1"}, ("/miles", "min_value")),
        ({"driver": "sol"}, ("/driver", "not_uuid")),
        ({"driver": NO_KEY}, ("/driver", "person_unknown")),
        ({"load": "L-404"}, ("/load", "load_unknown")),
        ({"load": NO_KEY}, ("/load", "load_unknown")),
        ({"override": True}, ("/override", "unknown_field")),
    ],
)
def test_question_that_makes_no_sense__refused_at_its_field(
    dock: Dock, changes: dict[str, Any], problem: tuple[str, str]
) -> None:
    answer = acting_as("cal").post("clearances", {**ASK, **changes})
    assert (answer.status_code, codes(answer)) == (422, [problem])
    assert not Clearance.objects.exists()


@pytest.mark.parametrize("arrival", ["2199-12-31T00:00:00Z", "2026-03-08T04:00:00+23:59"])
def test_time_at_the_end_of_what_is_taken_or_in_no_zones_offset__answered(dock: Dock, arrival: str) -> None:
    assert acting_as("cal").post("clearances", {**ASK, "arrival": arrival}).status_code == 201


def test_asked_again_with_its_key__answered_as_before_and_kept_once(dock: Dock) -> None:
    cal = acting_as("cal")
    first = cal.post("clearances", ASK, key="one")
    dock.stroke()
    again = cal.post("clearances", ASK, key="one")
    assert (again.json(), again.headers["Idempotency-Replayed"]) == (first.json(), "true")
    assert Clearance.objects.count() == 1


def test_clearance_requests_on_record__found_by_unit_answer_and_time(dock: Dock) -> None:
    fine = asked(dock)["id"]
    dock.stroke()
    barred = asked(dock)["id"]
    iris = acting_as("iris")

    def found(**query: str) -> list[str]:
        return sorted(row["id"] for row in iris.get("clearances", **query).json()["results"])

    assert found() == found(unit="LR-46") == sorted([fine, barred])
    assert found(answer="barred") == [barred]
    assert found(unit="NL-15") == found(until=NOON.isoformat()) == []
    assert found(since=NOON.isoformat()) == sorted([fine, barred])
    unknown = iris.get("clearances/019a0000-0000-7000-8000-000000000404")
    assert (unknown.status_code, unknown.json()["code"]) == (404, "clearance_unknown")


# The yard


def test_yard__a_row_answers_for_the_combination_whoever_is_asked_for(dock: Dock) -> None:
    dock.put(dock.load())
    dock.finding("cab.horn", unit=dock.tractor)
    row = yard(dock, unit="CU-46")["CU-46"]
    assert (row["kind"], row["together_with"], row["load"]) == ("cooling_unit", ["NL-13", "LR-46"], "L-1")
    assert row["answer"] == "barred"
    assert {reason["unit"] for reason in row["reasons"] if reason["kind"] == "bars"} == {"NL-13"}
    rows = yard(dock)
    alike = [{**rows[unit], "unit": "", "kind": "", "together_with": []} for unit in ("NL-13", "LR-46", "CU-46")]
    assert alike[0] == alike[1] == alike[2]


def test_yard_after_uncoupling__each_answers_for_itself(dock: Dock) -> None:
    dock.stroke()
    assert yard(dock)["NL-13"]["answer"] == "barred"
    coupling = Coupling.objects.get()
    uncouple(coupling_id=coupling.pk, ended_at=dock.now, actor=dock["sol"], now=dock.now)
    rows = yard(dock)
    assert (rows["NL-13"]["answer"], rows["NL-13"]["together_with"]) == ("nothing_known_against", [])
    assert (rows["LR-46"]["answer"], rows["LR-46"]["together_with"]) == ("barred", ["CU-46"])
    assert set(yard(dock, answer="barred")) == {"LR-46", "CU-46", "NL-15"}
    assert set(yard(dock, answer="barred", kind="trailer")) == {"LR-46"}
    assert "NL-13" in yard(dock, answer="nothing_known_against")


def test_yard_with_cold_freight_aboard__knows_that_it_is_cold(dock: Dock) -> None:
    dock.cold_fault()
    unknown = yard(dock)["LR-46"]["unknown"]
    assert [row["code"] for row in unknown] == ["cold_defect_load_unknown"]


def test_yes_over_a_load_at_risk__says_beside_it_what_stands_open(dock: Dock) -> None:
    risk = dock.at_risk()
    note = Note(RiskEntryKind.DECISION, at=dock.now, text="go on")
    enter(risk_id=risk.pk, note=note, actor=dock["cal"], now=dock.now)
    for answer in (yard(dock)["LR-46"], asked(dock)):
        said = {row["code"]: row for row in answer["left_open"]}
        assert said.keys() == {"defect_open", "full_walk_due", "load_at_risk"}
        assert said["load_at_risk"]["says"] == (
            "LR-46: its load is at risk. A decision is recorded; no disposition is signed."
        )
        assert said["defect_open"]["unit"] == "CU-46"
    kept = Clearance.objects.get()
    assert {row["code"] for row in kept.left_open} == {"defect_open", "full_walk_due", "load_at_risk"}


def test_yard__by_kind_and_site_without_retired_units(dock: Dock) -> None:
    gone = make_unit(UnitKind.TRACTOR, "NL-90")
    Unit.objects.filter(pk=gone.pk).update(retired_on=NOON.date())
    assert set(yard(dock)) == {"NL-13", "NL-15", "LR-46", "CU-46"}
    assert set(yard(dock, kind="tractor")) == {"NL-13", "NL-15"}
    refused = acting_as("cal").get("yard", unit="a b")
    assert (refused.status_code, codes(refused)) == (400, [("unit", "unit_reference_malformed")])


def test_yard__pages_hold_each_unit_once_though_its_companions_are_elsewhere(dock: Dock) -> None:
    cal = acting_as("cal")
    page = cal.get("yard", limit="1").json()
    found = [page["results"][0]["unit"]]
    while page["next"]:
        page = cal.get(page["next"]).json()
        found += [row["unit"] for row in page["results"]]
    assert found == ["CU-46", "LR-46", "NL-13", "NL-15"]
