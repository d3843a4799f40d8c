"""Clearance over stored rows: the load, the cold, the walk, the fuel, and what the driver still has to do."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from common.errors import Invalid
from defects.models import Clearance, Load, LoadAtRisk
from defects.services.loads.loading import check_before_loading, compare_seal, deliver_load, transload
from defects.services.loads.loads_at_risk import Note, dispose, enter
from defects.services.moves import end_limited_move
from fleet.enums import UnitKind
from fleet.models import CoolingUnitDetails, Coupling, Document
from fleet.services.units.couplings import couple, uncouple
from tests.factories.fleet import HOUR, NOON, make_mounting, make_unit
from tests.support.dock import (
    Dock,
    codes,
    fuel_check,
    left_open,
    left_rows,
    make_cooling_unit,
    papers,
    reason,
    unknowns,
)
from tests.support.refusals import refused
from tests.support.submissions import answer_to
from tests.support.walks import check
from tests.support.yard import BRAKE_AXLE, decide

DAY = dt.timedelta(days=1)


# Walks


def couple_anew(dock: Dock) -> None:
    """The desk records that the two run together from now on, and with nobody else."""
    dock.later()
    for coupling in Coupling.objects.filter(ended_at=None):
        uncouple(coupling_id=coupling.pk, ended_at=dock.now, actor=dock["sol"], now=dock.now)
    units = [dock.tractor.pk, dock.trailer.pk]
    couple(unit_ids=units, started_at=dock.now, actor=dock["cal"], now=dock.now)


def test_walks__due_when_never_done_too_long_ago_or_by_another_driver(dock: Dock) -> None:
    fresh = make_unit(UnitKind.TRACTOR, "NL-99", axles=[{**BRAKE_AXLE, "number": 1, "role": "drive"}])
    assert reason(dock.ask(str(fresh.pk)), "walk_due")["facts"] == {"why": "never_walked"}
    assert codes(dock.ask(driver="sol")) == []
    why = {row["facts"]["why"] for row in dock.ask(driver="iris").reasons}
    assert why == {"another_driver"}
    late = dock.ask(at=NOON + 26 * HOUR)
    assert {(row["code"], row["facts"]["why"]) for row in late.reasons} == {("walk_due", "too_long_ago")}


@pytest.mark.parametrize("coupled", [False, None])
def test_walked_each_alone_and_coupled_at_a_desk__the_coupling_is_walked_before_it_rolls(
    dock: Dock, coupled: bool | None
) -> None:
    """Nobody was asked for jaws, air lines or the trailer's lamps: a pick-up of both answers it."""
    for unit in (dock.tractor, dock.trailer):
        dock.walk_these([unit], coupled=coupled)
    couple_anew(dock)
    asked = dock.ask()
    assert [(row["unit"], row["facts"]["why"]) for row in asked.reasons] == [
        ("LR-46", "coupling_not_walked"),
        ("NL-13", "coupling_not_walked"),
    ]
    assert dock.ask("NL-13").answer == "after_driver_steps"
    assert [row["code"] for row in dock.ask("NL-13").reasons] == ["units_to_uncouple"]
    dock.walk_these([dock.tractor, dock.trailer], form="pick_up")
    assert dock.ask().answer == "nothing_known_against"


def test_walked_each_coupled_to_another_and_coupled_at_a_desk__the_coupling_is_walked_before_it_rolls(
    dock: Dock,
) -> None:
    other = {kind: make_unit(kind, f"XX-{kind}") for kind in (UnitKind.TRACTOR, UnitKind.TRAILER)}
    dock.walk_these([dock.tractor, other[UnitKind.TRAILER]])
    dock.walk_these([other[UnitKind.TRACTOR], dock.trailer])
    couple_anew(dock)
    assert {row["facts"].get("why") for row in dock.ask().reasons} == {"coupling_not_walked"}
    dock.later()
    for unit in (dock.tractor, dock.trailer):
        dock.walk_these([unit], coupled=True)
    assert "walk_due" not in codes(dock.ask())


def test_coupling_that_another_driver_looked_at__serves_nobody_who_walks_each_unit_alone(dock: Dock) -> None:
    """392.7(a) asks that the driver who drives is satisfied of the coupling; common practice in a relay."""
    for unit in (dock.tractor, dock.trailer):
        dock.walk_these([unit], "iris", coupled=None)
    asked = dock.ask(driver="iris")
    assert {(row["unit"], row["facts"]["why"]) for row in asked.reasons if row["code"] == "walk_due"} == {
        ("LR-46", "coupling_not_walked"),
        ("NL-13", "coupling_not_walked"),
    }
    assert "walk_due" not in codes(dock.ask())
    dock.walk_these([dock.tractor, dock.trailer], "iris", form="pick_up")
    assert "walk_due" not in codes(dock.ask(driver="iris"))


def test_coupling_that_one_of_a_team_looked_at__serves_both(dock: Dock) -> None:
    dock.walk_these([dock.tractor, dock.trailer], "sol", team_mate="iris")
    for unit in (dock.tractor, dock.trailer):
        dock.walk_these([unit], "iris", coupled=None)
    assert "walk_due" not in codes(dock.ask(driver="iris"))


def test_carriers_own_hours__decide_how_long_a_walk_serves(dock: Dock) -> None:
    decide("walk_valid_hours", 48, dock["vera"])
    assert dock.ask(at=NOON + 40 * HOUR, hours=1).answer == "nothing_known_against"


def test_report_open_to_review__a_step_until_signed_certificates_after_it_likewise(dock: Dock) -> None:
    defect = dock.finding("lamps.trailer.socket")
    dock.dismiss(defect)
    asked = dock.ask()
    assert (asked.answer, codes(asked)) == ("after_driver_steps", ["review_not_signed"])
    facts = reason(asked, "review_not_signed")["facts"]
    assert (len(facts["reports"]), len(facts["certificates"])) == (1, 1)
    dock.review()
    assert dock.ask().answer == "nothing_known_against"
    dock.certify(defect)
    facts = reason(dock.ask(), "review_not_signed")["facts"]
    assert (len(facts["reports"]), len(facts["certificates"])) == (0, 1)
    dock.review()
    assert dock.ask().answer == "nothing_known_against"


# Coupling


def test_units_recorded_elsewhere__to_be_coupled(dock: Dock) -> None:
    asked = dock.ask("NL-15", "LR-46")
    assert reason(asked, "units_to_couple")["facts"] == {"units": ["LR-46", "NL-15"]}
    coupling = Coupling.objects.get()
    uncouple(coupling_id=coupling.pk, ended_at=dock.now, actor=dock["sol"], now=dock.now)
    assert codes(dock.ask(at=dock.now + HOUR)) == ["units_to_couple"]


def test_cooling_unit_of_another_trailer__refused_by_name(dock: Dock) -> None:
    """It would stand for the cold of a trailer that has none."""
    other = make_unit(UnitKind.TRAILER, "LR-47")
    make_mounting(other, make_cooling_unit("CU-47"))
    with pytest.raises(Invalid) as elsewhere:
        dock.ask("NL-13", "LR-46", "CU-47")
    assert (elsewhere.value.code, elsewhere.value.facts) == ("cooling_unit_elsewhere", {"unit": "CU-47"})


# Cold freight


def test_cold_fault__bars_new_cold_freight_and_leaves_dry_freight_alone(dock: Dock) -> None:
    """Day 23 of the scenario."""
    dock.cold_fault()
    dock.load("L-1")
    dock.load("L-2", "dry")
    assert codes(dock.ask(load="L-1")) == ["cold_defect"]
    assert dock.ask(load="L-2").answer == "nothing_known_against"
    unnamed = dock.ask()
    assert (unnamed.answer, unknowns(unnamed)) == ("nothing_known_against", ["cold_defect_load_unknown"])


def test_cold_fault_while_loaded__puts_the_load_at_risk_until_its_disposition(dock: Dock) -> None:
    """Day 15 of the scenario: never a bar on movement."""
    risk = dock.at_risk()
    asked = dock.ask()
    assert (asked.answer, codes(asked)) == ("after_driver_steps", ["load_at_risk_undecided"])
    assert reason(asked, "load_at_risk_undecided")["facts"] == {"load_at_risk": str(risk.pk)}
    note = Note(kind="decision", at=dock.now, text="go on to Cold Store Three")  # type: ignore[arg-type]  # its text
    enter(risk_id=risk.pk, note=note, actor=dock["cal"], now=dock.now)
    assert dock.ask().answer == "nothing_known_against"
    dock.later()
    dock.cold_fault(point="cooling.running-mode")
    assert codes(dock.ask()) == ["load_at_risk_undecided", "to_put_right"]
    dock.hand_in((dock.cooling_unit, [answer_to("cooling.running-mode", "fine")]), kind="en_route")
    dispose(
        risk_id=risk.pk,
        version=LoadAtRisk.objects.get().version,
        disposition="core at -8 °F, accepted",
        signing=dock.signing(dock["vera"]),
        actor=dock["vera"],
        now=dock.later(),
    )
    assert dock.ask().answer == "nothing_known_against"


def test_food_not_disposed_of__bars_the_next_cold_load_in_that_trailer(dock: Dock) -> None:
    risk = dock.at_risk()
    deliver_load(load_id=risk.load_id, delivered_at=dock.later(), actor=dock["sol"], now=dock.now)
    dock.load("L-9")
    asked = dock.ask(load="L-9")
    assert codes(asked) == ["cold_defect", "food_not_disposed"]
    assert reason(asked, "food_not_disposed")["ends_when"] == "disposition_signed"


def test_load_moved_to_another_trailer__its_risk_goes_with_it(dock: Dock) -> None:
    risk = dock.at_risk()
    other = make_unit(UnitKind.TRAILER, "LR-47")
    make_mounting(other, make_cooling_unit("CU-47"))
    transload(load_id=risk.load_id, trailer=other, transloaded_at=dock.later(), actor=dock["cal"], now=dock.now)
    asked = dock.ask("LR-47")
    assert reason(asked, "load_at_risk_undecided")["unit"] == "LR-47"
    assert asked.load_id == risk.load_id
    assert "load_at_risk_undecided" not in codes(dock.ask("LR-46"))


def test_flag_of_a_pre_loaded_order__does_not_stand_for_loading(dock: Dock) -> None:
    """Whoever could call a load pre-loaded could otherwise talk a cold fault away."""
    dock.cold_fault()
    dock.load("L-1", pre_loaded=True)
    assert codes(dock.ask(load="L-1")) == ["cold_defect"]


def test_cold_freight_without_a_cooling_unit__barred(dock: Dock) -> None:
    bare = make_unit(UnitKind.TRAILER, "LR-48")
    dock.load("L-1")
    assert "cooling_unit_missing" in codes(dock.ask("NL-13", str(bare.pk), load="L-1"))


def test_load_aboard__is_meant_when_none_is_named(dock: Dock) -> None:
    load = dock.put(dock.load("L-1", seal="S-1"))
    asked = dock.ask()
    assert (asked.load, codes(asked)) == (load, ["seal_to_check"])
    tomorrow = dock.load("L-2", "dry")
    assert dock.ask(load="L-2").load == tomorrow


def test_load_that_cannot_go_with_these_units__refused(dock: Dock) -> None:
    load = dock.put(dock.load())
    with pytest.raises(Invalid) as elsewhere:
        dock.ask("NL-15", load="L-1")
    assert (elsewhere.value.code, elsewhere.value.facts) == ("load_elsewhere", {"load": "L-1", "trailer": "LR-46"})
    deliver_load(load_id=load.pk, delivered_at=dock.later(), actor=dock["sol"], now=dock.now)
    with refused(Invalid, "load_ended"):
        dock.ask(load="L-1")
    assert Clearance.objects.count() == 0


def test_seal__compared_by_the_driver_who_is_to_drive(dock: Dock) -> None:
    load = dock.put(dock.load("L-1", seal="S-1"))
    assert codes(dock.ask(driver="sol")) == ["seal_to_check"]
    compare_seal(load_id=load.pk, seal="s-1 ", compared_at=dock.later(), actor=dock["iris"], now=dock.now)
    assert codes(dock.ask()) == []
    assert codes(dock.ask(driver="sol")) == ["seal_to_check"]
    compare_seal(load_id=load.pk, seal="S-1", compared_at=dock.later(), actor=dock["sol"], now=dock.now)
    assert codes(dock.ask(driver="sol")) == []


def test_sealed_box__rests_on_the_check_before_loading(dock: Dock) -> None:
    """Day 16 of the scenario."""
    load = dock.load("L-1", seal="S-1")
    cal, now = dock["cal"], dock.now
    check_before_loading(load_id=load.pk, trailer=dock.trailer, checked_at=now, actor=cal, now=now)
    dock.put(load)
    compare_seal(load_id=load.pk, seal="S-1", compared_at=dock.now, actor=dock["sol"], now=dock.now)
    sealed = check("airflow.chute", answer="not_reached", reason="sealed")
    dock.walk_all("iris", found={"LR-46": [sealed]})
    compare_seal(load_id=load.pk, seal="S-1", compared_at=dock.now, actor=dock["iris"], now=dock.now)
    asked = dock.ask(driver="iris")
    assert (asked.answer, unknowns(asked)) == ("nothing_known_against", ["rests_on_pre_load_check"])


def test_seal_of_a_load_that_is_not_in_the_trailer_yet__not_asked_for(dock: Dock) -> None:
    dock.load("L-1", seal="S-1")
    assert codes(dock.ask(load="L-1")) == []


def test_limited_move__said_beside_the_hold_with_its_limits(dock: Dock) -> None:
    dock.stroke()
    assert left_open(dock.ask()) == []
    dock.allow_move()
    asked = dock.ask()
    assert asked.answer == "barred"
    unmetered, move = sorted(left_rows(asked), key=lambda row: row["code"], reverse=True)
    assert (unmetered["code"], unmetered["facts"]) == ("limited_move_unmetered", {"distance_mi": "4.5"})
    assert (move["code"], move["unit"], move["facts"]["distance_mi"], move["facts"]["name"]) == (
        "limited_move",
        "LR-46",
        "4.5",
        "Sol Marrin",
    )


def test_limited_move_whose_time_is_passed__said_until_its_end_is_recorded(dock: Dock) -> None:
    dock.stroke()
    move = dock.allow_move()
    late = move.ends_at
    [row] = left_rows(dock.ask(at=late))
    assert (row["code"], row["facts"]["to_place"]) == ("limited_move_passed", move.to_place)
    end_limited_move(move_id=move.pk, ended_at=late, note="There.", actor=dock["sol"], now=late)
    assert left_open(dock.ask(at=late)) == []


# Another load


def test_load_in_the_trailer_that_another_is_asked_for__unloaded_first(dock: Dock) -> None:
    dock.put(dock.load("L-2"))
    dock.load("L-1")
    step = reason(dock.ask(load="L-1"), "other_load_in_the_way")
    assert (step["kind"], step["unit"], step["facts"]) == ("driver_step", "LR-46", {"load": "L-2"})
    assert codes(dock.ask(load="L-2")) == []


def test_load_in_another_trailer_of_the_combination__rides_along_and_is_said(dock: Dock) -> None:
    second = make_unit(UnitKind.TRAILER, "LR-48")
    papers(second)
    dock.put(dock.load("L-2", "dry"), second)
    dock.load("L-1", "dry")
    load = dock.put(Load.objects.get(number="L-1"))
    asked = dock.ask("NL-13", "LR-46", "LR-48", load=load.number)
    assert [(row["code"], row["unit"], row["facts"]) for row in left_rows(asked)] == [
        ("other_load_aboard", "LR-48", {"load": "L-2"})
    ]


# The driver


def test_drivers_documents__bar_when_expired_and_are_unknown_when_missing(dock: Dock) -> None:
    sol = Document.objects.filter(person=dock["sol"])
    expired = sol.get(kind="commercial_driver_licence")
    Document.objects.filter(pk=expired.pk).update(ends_on=dt.date(2026, 3, 5))
    asked = dock.ask(driver="sol")
    assert (codes(asked), asked.answer) == (["document_expired"], "barred")
    assert asked.reasons[0]["facts"]["document"] == "commercial_driver_licence"
    assert dock.ask().answer == "nothing_known_against"
    sol.update(superseded_at=dock.now)
    unknown = dock.ask(driver="sol")
    assert unknown.answer == "nothing_known_against"
    assert [(row["code"], row["facts"]["document"]) for row in unknown.unknown] == [
        ("document_missing", "commercial_driver_licence"),
        ("document_missing", "medical_certificate"),
    ]


def test_medical_certificate_that_ends_on_the_way__bars_that_trip(dock: Dock) -> None:
    Document.objects.filter(person=dock["sol"], kind="medical_certificate").update(ends_on=dt.date(2026, 3, 7))
    assert codes(dock.ask(driver="sol", hours=40)) == ["document_ends_before_arrival"]
    assert dock.ask(driver="sol", hours=4).answer == "nothing_known_against"


def test_driver_who_is_none__said(dock: Dock) -> None:
    unknown = unknowns(dock.ask(driver="cal"))
    assert unknown == ["document_missing", "document_missing", "driver_not_on_record"]
    assert "driver_not_on_record" not in unknowns(dock.ask(driver="sol"))


# Fuel


def test_fuel__gallons_to_add_for_the_trip_with_reserve_and_what_cannot_be_used(dock: Dock) -> None:
    """20 gal in the tank, half a gallon an hour for 40 h, 5 gal kept, 2 gal out of reach: 20 - 20 - 7 is 7 short."""
    dock.hand_in((dock.cooling_unit, [fuel_check("20")]))
    dock.load("L-1")
    dock.load("L-2", "dry")
    step = reason(dock.ask(load="L-1", hours=40), "fuel_to_add")
    assert step["facts"] == {"add_gal": 7, "reserve_gal": 5, "more_than_the_tank_holds": False}
    assert reason(dock.ask(load="L-1", hours=120), "fuel_to_add")["facts"]["more_than_the_tank_holds"] is True
    assert dock.ask(load="L-1", hours=26).answer == "nothing_known_against"
    assert dock.ask(load="L-2", hours=40).answer == "nothing_known_against"


def test_fuel_reserve__is_the_carriers_and_shown_with_what_is_to_be_added(dock: Dock) -> None:
    dock.hand_in((dock.cooling_unit, [fuel_check("20")]))
    dock.load("L-1")
    decide("fuel_reserve_gal", 12, dock["vera"])
    answered = dock.ask(load="L-1", hours=40)
    assert reason(answered, "fuel_to_add")["facts"] == {
        "add_gal": 14,
        "reserve_gal": 12,
        "more_than_the_tank_holds": False,
    }


def test_fuel_rate_of_three_decimals__counts_to_the_last_one(dock: Dock) -> None:
    """20 gallons less 7 that stay last 40 hours at 0.325 an hour, and not at 0.326."""
    dock.hand_in((dock.cooling_unit, [fuel_check("20")]))
    dock.load("L-1")
    rate = CoolingUnitDetails.objects.filter(unit=dock.cooling_unit)
    rate.update(burn_gal_per_h=Decimal("0.325"))
    assert dock.ask(load="L-1", hours=40).answer == "nothing_known_against"
    rate.update(burn_gal_per_h=Decimal("0.326"))
    assert reason(dock.ask(load="L-1", hours=40), "fuel_to_add")["facts"]["add_gal"] == 1


def test_fuel_across_the_change_of_the_clocks__elapsed_hours_count(dock: Dock) -> None:
    """Day 7: the night of 8 March 2026 has an hour less by the clock, and none less for the cooling unit."""
    dock.hand_in((dock.cooling_unit, [fuel_check("20")]))
    dock.load("L-1")
    local = dt.datetime(2026, 3, 7, 12, tzinfo=dt.timezone(dt.timedelta(hours=-6)))
    arrival = dt.datetime(2026, 3, 9, 5, tzinfo=dt.timezone(dt.timedelta(hours=-5)))
    hours = (arrival - local) / HOUR
    assert hours == 40
    step = reason(dock.ask(load="L-1", departure=local, hours=hours), "fuel_to_add")
    assert step["facts"]["add_gal"] == 7


def test_cooling_unit_under_a_cold_load__burns_fuel_while_it_waits(dock: Dock) -> None:
    dock.hand_in((dock.cooling_unit, [fuel_check("20")]))
    dock.put(dock.load("L-1"))
    waiting = dock.ask(departure=dock.now + 20 * HOUR, hours=20)
    assert reason(waiting, "fuel_to_add")["facts"]["add_gal"] == 7
    leaving = dock.ask(hours=20)
    assert leaving.first_to_end_it is not None
    assert leaving.first_to_end_it["code"] == "fuel_to_add"


def test_fuel_or_burn_not_known__said(dock: Dock) -> None:
    CoolingUnitDetails.objects.filter(unit=dock.cooling_unit).update(burn_gal_per_h=None)
    dock.load("L-1")
    assert unknowns(dock.ask(load="L-1")) == ["fuel_unknown"]


def test_cold_load_without_an_ordered_temperature__the_database_refuses_it(dock: Dock) -> None:
    """So no stored row leads to the code `ordered_temperature_unknown`; the rule keeps it for other callers."""
    load = dock.load("L-1")
    with pytest.raises(IntegrityError, match="load_cold_has_setpoint"), transaction.atomic():
        Load.objects.filter(pk=load.pk).update(setpoint_f=None)
