"""Everything that can stand against a combination, by what it is asked to carry. One row for each code."""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from defects.enums import Authority, Bars, ClearanceAnswer, HoldKind, Listing, Severity, TemperatureClass
from defects.rules.catalogue.closed_sets import PartGroup
from defects.rules.clearance.answer import ClearanceJudgement
from defects.rules.clearance.codes import Code, EndsWhen, ReasonKind
from defects.rules.clearance.evaluate import answer_clearance
from defects.rules.clearance.snapshot import (
    ClearancePolicy,
    DriverFact,
    LoadAtRiskFact,
    LoadFact,
    OtherLoadFact,
    Snapshot,
    TripFact,
)
from defects.rules.clearance.unit_facts import (
    CertificateFact,
    DefectFact,
    DeferralFact,
    FuelFact,
    HoldFact,
    LeftFact,
    LimitedMoveFact,
    MeterFact,
    RefusalFact,
    RepairedFact,
    ReportFact,
    ThirdPartyFact,
    WalkFact,
    WorkFact,
)
from defects.rules.clearance.weights import CODES as WEIGHT_CODES
from tests.unit.defects.clearance.snapshots import (
    ARRIVE,
    LEAVE,
    NOW,
    cold_defect,
    combination,
    defect,
    held,
    left,
    load,
    look,
    missing,
    snapshot,
    with_units,
)

COLD = (TemperatureClass.FROZEN, TemperatureClass.CHILLED, TemperatureClass.PROTECT_FROM_FREEZING)
BARRED, STEPS, NOTHING = (
    ClearanceAnswer.BARRED,
    ClearanceAnswer.AFTER_DRIVER_STEPS,
    ClearanceAnswer.NOTHING_KNOWN_AGAINST,
)
LIMITED = DeferralFact(NOW - timedelta(days=1), limit_on=date(2026, 3, 9))
BRAKE: dict[str, Any] = {
    "counts_as_service_brake": True,
    "point": "brakes.stroke",
    "certificate": DeferralFact(NOW, date(2027, 1, 1)),
}
INSIDE = left("inside.cleanliness", area=PartGroup.FOOD, statutory=False, behind_seal=True, why="sealed")


@dataclass(frozen=True)
class Row:
    """A snapshot, the code it must show, and the answers with cold freight, with dry, and with an unnamed load."""

    code: Code
    asked: Snapshot
    cold: ClearanceAnswer
    dry: ClearanceAnswer
    unnamed: ClearanceAnswer


ROWS = {
    "carrier's hold": Row(
        Code.CARRIER_HOLD,
        with_units(trailer={"holds": (HoldFact(7, HoldKind.CARRIER, NOW),)}),
        BARRED, BARRED, BARRED,
    ),
    "carrier's hold on cold freight": Row(
        Code.CARRIER_HOLD,
        with_units(cooling={"holds": (HoldFact(7, HoldKind.CARRIER, NOW, Bars.COLD_FREIGHT),)}),
        BARRED, NOTHING, NOTHING,
    ),
    "officer's order": Row(
        Code.OFFICERS_ORDER,
        with_units(trailer={"holds": (HoldFact(8, HoldKind.OFFICER, NOW),)}),
        BARRED, BARRED, BARRED,
    ),
    "statutory, before next use": Row(
        Code.DEFECT_NOT_CERTIFIED, with_units(trailer={"defects": (defect(),)}), BARRED, BARRED, BARRED
    ),
    "statutory, do not move": Row(
        Code.DEFECT_NOT_CERTIFIED,
        with_units(tractor={"defects": (defect(severity=Severity.DO_NOT_MOVE),)}),
        BARRED, BARRED, BARRED,
    ),
    "statutory, next shop visit": Row(
        Code.DEFECT_NOT_CERTIFIED,
        with_units(
            tractor={
                "defects": (defect(severity=Severity.NEXT_SHOP_VISIT, bars=Bars.NOTHING, listing=Listing.SAFETY),)
            }
        ),
        BARRED, BARRED, BARRED,
    ),
    "carrier's point that the driver listed": Row(
        Code.DEFECT_NOT_CERTIFIED,
        with_units(tractor={"defects": (
            defect(severity=Severity.WATCH, bars=Bars.NOTHING, authority=Authority.CARRIER, listing=Listing.SAFETY),
        )}),
        BARRED, BARRED, BARRED,
    ),
    "carrier's, before next use": Row(
        Code.CARRIER_DEFECT,
        with_units(cooling={"defects": (defect(authority=Authority.CARRIER),)}),
        BARRED, BARRED, BARRED,
    ),
    "not graded": Row(
        Code.DEFECT_NOT_GRADED,
        with_units(trailer={"defects": (defect(graded=False, severity=Severity.WATCH, bars=Bars.NOTHING),)}),
        BARRED, BARRED, BARRED,
    ),
    "deferral over": Row(
        Code.DEFERRAL_OVER,
        with_units(tractor={"defects": (defect(certificate=LIMITED),)}),
        BARRED, BARRED, BARRED,
    ),
    "deferral ends on the way": Row(
        Code.DEFERRAL_ENDS_BEFORE_ARRIVAL,
        replace(
            with_units(tractor={"defects": (defect(certificate=replace(LIMITED, limit_on=date(2026, 3, 10))),)}),
            trip=TripFact(LEAVE, LEAVE + timedelta(hours=20)),
        ),
        BARRED, BARRED, BARRED,
    ),
    "deferral's miles end on the way": Row(
        Code.DEFERRAL_ENDS_BEFORE_ARRIVAL,
        with_units(
            tractor={
                "defects": (defect(certificate=DeferralFact(NOW, limit_mi=Decimal(100_400))),),
                "meters": MeterFact(odometer_mi=Decimal(100_000)),
            }
        ),
        BARRED, BARRED, BARRED,
    ),
    "deferral's miles unknown": Row(
        Code.DEFERRAL_LIMIT_UNKNOWN,
        with_units(tractor={"defects": (defect(certificate=DeferralFact(NOW, limit_mi=Decimal(100_400))),)}),
        BARRED, BARRED, BARRED,
    ),
    "two of ten brakes": Row(
        Code.BRAKE_SHARE,
        with_units(trailer={"defects": (defect(1, place="a", **BRAKE), defect(2, place="b", **BRAKE))}),
        BARRED, BARRED, BARRED,
    ),
    "steering axle's brake": Row(
        Code.STEERING_AXLE_BRAKE,
        with_units(tractor={"defects": (defect(on_steering_axle=True, **BRAKE),)}),
        BARRED, BARRED, BARRED,
    ),
    "brakes not counted": Row(
        Code.BRAKE_COUNT_UNKNOWN,
        with_units(trailer={"defects": (defect(**BRAKE),), "service_brakes": None}),
        BARRED, BARRED, BARRED,
    ),
    "work in progress": Row(
        Code.WORK_IN_PROGRESS,
        with_units(tractor={"work": (WorkFact(1014, "oil change", NOW),)}),
        BARRED, BARRED, BARRED,
    ),
    "work on the cooling unit": Row(
        Code.COLD_WORK_IN_PROGRESS,
        with_units(cooling={"work": (WorkFact(1014, "belt", NOW),)}),
        BARRED, NOTHING, NOTHING,
    ),
    "refusal": Row(
        Code.REFUSAL_NOT_LOOKED_AT,
        with_units(tractor={"refusals": (RefusalFact("3", NOW),)}),
        BARRED, BARRED, BARRED,
    ),
    "paper missing": Row(
        Code.DOCUMENT_MISSING, with_units(trailer={"documents": (missing(),)}), BARRED, BARRED, BARRED
    ),
    "paper not begun": Row(
        Code.DOCUMENT_NOT_BEGUN,
        with_units(trailer={"documents": (held(last=None, starts=date(2026, 3, 11)),)}),
        BARRED, BARRED, BARRED,
    ),
    "paper run out": Row(
        Code.DOCUMENT_EXPIRED, with_units(trailer={"documents": (held(last=date(2026, 3, 9)),)}), BARRED, BARRED, BARRED
    ),
    "paper runs out on the way": Row(
        Code.DOCUMENT_ENDS_BEFORE_ARRIVAL,
        with_units(trailer={"documents": (held(last=date(2026, 3, 10)),)}),
        BARRED, BARRED, BARRED,
    ),
    "carrier's paper run out": Row(
        Code.DOCUMENT_EXPIRED,
        snapshot(carrier_documents=(held("insurance", date(2026, 3, 9)),)),
        BARRED, BARRED, BARRED,
    ),
    "driver's paper missing": Row(
        Code.DOCUMENT_MISSING, snapshot(driver=DriverFact("ada", (missing("licence"),))), BARRED, BARRED, BARRED
    ),
    "others' inspection date": Row(
        Code.OTHERS_INSPECTION_DATE_MISSING,
        with_units(trailer={"others": ThirdPartyFact(None, "P 1", "Q")}),
        BARRED, BARRED, BARRED,
    ),
    "others' plate": Row(
        Code.OTHERS_PLATE_MISSING,
        with_units(trailer={"others": ThirdPartyFact(date(2026, 1, 1), "", "Q")}),
        BARRED, BARRED, BARRED,
    ),
    "others' owner": Row(
        Code.OTHERS_OWNER_MISSING,
        with_units(cooling={"others": ThirdPartyFact(None, "", "")}),
        BARRED, BARRED, BARRED,
    ),
    "cold defect": Row(
        Code.COLD_DEFECT, with_units(cooling={"defects": (cold_defect(),)}), BARRED, NOTHING, NOTHING
    ),
    "cold defect, deferred or not": Row(
        Code.COLD_DEFECT, with_units(cooling={"defects": (cold_defect(certificate=LIMITED),)}), BARRED, NOTHING, NOTHING
    ),
    "no cooling unit": Row(
        Code.COOLING_UNIT_MISSING, snapshot(units=combination()[:2]), BARRED, NOTHING, NOTHING
    ),
    "cooling unit of another trailer": Row(
        Code.COOLING_UNIT_MISSING, snapshot(cooling_elsewhere=(combination()[2].ref,)), BARRED, NOTHING, NOTHING
    ),
    "statutory, no answer": Row(
        Code.NO_ANSWER_RECORDED, with_units(trailer={"looks": (look(left()),)}), STEPS, STEPS, STEPS
    ),
    "statutory, not reached": Row(
        Code.NO_ANSWER_RECORDED, with_units(trailer={"looks": (look(left(why="dark")),)}), STEPS, STEPS, STEPS
    ),
    "statutory, an answer that cannot be used": Row(
        Code.NO_ANSWER_RECORDED, with_units(trailer={"looks": (look(left(why="flagged")),)}), STEPS, STEPS, STEPS
    ),
    "statutory, begun by choice and not reached": Row(
        Code.AREA_NOT_REACHED,
        with_units(trailer={"looks": (look(left(why="dark", required=False)),)}),
        NOTHING, NOTHING, NOTHING,
    ),
    "carrier's own, no answer": Row(
        Code.AREA_NOT_REACHED,
        with_units(trailer={"looks": (look(replace(INSIDE, why="no_answer")),)}),
        NOTHING, NOTHING, NOTHING,
    ),
    "carrier's own, not reached": Row(
        Code.AREA_NOT_REACHED, with_units(trailer={"looks": (look(INSIDE),)}), NOTHING, NOTHING, NOTHING
    ),
    "walk never done": Row(Code.WALK_DUE, with_units(trailer={"walk": None}), STEPS, STEPS, STEPS),
    "walk too old": Row(
        Code.WALK_DUE,
        with_units(trailer={"walk": WalkFact(NOW - timedelta(hours=22), "ada")}),
        STEPS, STEPS, STEPS,
    ),
    "walk by another driver": Row(
        Code.WALK_DUE, snapshot(driver=DriverFact("tomo")), STEPS, STEPS, STEPS
    ),
    "review": Row(
        Code.REVIEW_NOT_SIGNED,
        with_units(trailer={"reports_to_review": (ReportFact("5", NOW),)}),
        STEPS, STEPS, STEPS,
    ),
    "food, cold or dry": Row(
        Code.FOOD_DEFECT,
        with_units(trailer={"defects": (cold_defect(bars=Bars.FOOD, ends_by_driver=True),)}),
        BARRED, BARRED, NOTHING,
    ),
    "setting that the driver puts right": Row(
        Code.TO_PUT_RIGHT,
        with_units(cooling={"defects": (cold_defect(ends_by_driver=True),)}),
        STEPS, NOTHING, NOTHING,
    ),
    "fuel": Row(
        Code.FUEL_TO_ADD,
        with_units(cooling={"fuel": FuelFact(NOW, Decimal(9), Decimal("0.5"))}),
        STEPS, NOTHING, NOTHING,
    ),
    "record that cannot be read": Row(
        Code.RECORD_UNREADABLE, with_units(trailer={"unreadable": True}), BARRED, BARRED, BARRED
    ),
    "axles not recorded": Row(
        Code.AXLES_NOT_RECORDED, with_units(trailer={"axles_recorded": False}), NOTHING, NOTHING, NOTHING
    ),
    "photo of a repair on the spot awaited": Row(
        Code.PHOTO_AWAITED,
        with_units(trailer={"defects": (defect(certificate=RepairedFact(NOW, photo_awaited=True)),)}),
        NOTHING, NOTHING, NOTHING,
    ),
    "fuel not known": Row(Code.FUEL_UNKNOWN, with_units(cooling={"fuel": None}), NOTHING, NOTHING, NOTHING),
    "more fuel than the tank holds": Row(
        Code.FUEL_UNKNOWN,
        with_units(cooling={"fuel": FuelFact(NOW, Decimal(81), Decimal("0.5"), tank_gal=Decimal(50))}),
        NOTHING, NOTHING, NOTHING,
    ),
    "not coupled": Row(Code.UNITS_TO_COUPLE, snapshot(joined=False), STEPS, STEPS, STEPS),
    "coupled to another": Row(Code.UNITS_TO_UNCOUPLE, snapshot(left_behind=("LR-42",)), STEPS, STEPS, STEPS),
    "food at risk decided over, not disposed of": Row(
        Code.FOOD_NOT_DISPOSED,
        snapshot(loads_at_risk=(LoadAtRiskFact("2", "LR-41", NOW, decided_at=NOW),)),
        BARRED, NOTHING, NOTHING,
    ),
}  # fmt: skip


def _codes(answer: ClearanceJudgement) -> set[Code]:
    return {reason.code for reason in answer.reasons} | {row.code for row in answer.unknown}


@pytest.mark.parametrize("name", ROWS)
@pytest.mark.parametrize("temperature_class", COLD)
def test_cold_freight__answer_of_the_table(name: str, temperature_class: TemperatureClass) -> None:
    row = ROWS[name]
    answer = answer_clearance(replace(row.asked, load=load(temperature_class)))
    assert answer.answer is row.cold
    if row.cold is not NOTHING or row.code is Code.FUEL_UNKNOWN:
        assert _codes(answer) == {row.code}


@pytest.mark.parametrize("name", ROWS)
def test_dry_freight__answer_of_the_table(name: str) -> None:
    row = ROWS[name]
    answer = answer_clearance(replace(row.asked, load=load(TemperatureClass.DRY)))
    assert answer.answer is row.dry
    if row.dry is not NOTHING:
        assert _codes(answer) == {row.code}
    else:
        assert answer.reasons == ()


@pytest.mark.parametrize("name", ROWS)
def test_unnamed_load__answer_of_the_table(name: str) -> None:
    row = ROWS[name]
    answer = answer_clearance(replace(row.asked, load=None))
    assert answer.answer is row.unnamed
    if row.unnamed is not NOTHING:
        assert _codes(answer) == {row.code}


@pytest.mark.parametrize("temperature_class", list(TemperatureClass))
def test_nothing_against_it__says_so_for_every_freight(temperature_class: TemperatureClass) -> None:
    answer = answer_clearance(snapshot(load=load(temperature_class)))
    assert (answer.answer, answer.reasons, answer.unknown) == (NOTHING, (), ())


@pytest.mark.parametrize(
    "changes",
    [
        {"defects": (defect(certificate=RepairedFact(NOW)),)},
        {"defects": (defect(severity=Severity.WATCH, bars=Bars.NOTHING),)},
        {"defects": (defect(authority=Authority.CARRIER, severity=Severity.NEXT_SHOP_VISIT, bars=Bars.NOTHING),)},
        {"defects": (defect(certificate=DeferralFact(NOW, limit_on=date(2026, 3, 11))),)},
        {"defects": (defect(**BRAKE),)},
        {"refusals": (RefusalFact("3", NOW, looked_at=True),)},
        {"documents": (missing(bars=False),)},
        {"documents": (held(last=date(2026, 3, 1), bars=False),)},
        {"documents": (missing("weight_distance_permit", needed_in="KY"),)},
        {"documents": (held(last=None),)},
        {"others": ThirdPartyFact(date(2026, 1, 1), "P 1", "Q")},
    ],
)
def test_what_does_not_stand_against_it__nothing_known(changes: dict[str, Any]) -> None:
    assert answer_clearance(with_units(trailer=changes)).reasons == ()
    assert answer_clearance(with_units(trailer=changes)).answer is NOTHING


def test_state_crossed__its_permit_is_asked_for() -> None:
    asked = with_units(tractor={"documents": (missing("weight_distance_permit", needed_in="KY"),)})
    answer = answer_clearance(replace(asked, load=load(us_states=frozenset({"KY", "TN"}))))
    assert [(reason.code, reason.facts) for reason in answer.reasons] == [
        (Code.DOCUMENT_MISSING, (("document", "weight_distance_permit"), ("us_state", "KY")))
    ]
    assert answer.reasons[0].source == "source of weight_distance_permit"


@pytest.mark.parametrize(("states", "missed"), [((), False), (("TN",), False), (("KY",), True), (("KY", "TN"), True)])
def test_empty_run__asked_for_the_permits_of_the_states_that_the_trip_names(
    states: tuple[str, ...], missed: bool
) -> None:
    asked = with_units(tractor={"documents": (missing("weight_distance_permit", needed_in="KY"),)})
    answer = answer_clearance(replace(asked, load=None, trip=TripFact(LEAVE, ARRIVE, None, frozenset(states))))
    assert [reason.code for reason in answer.reasons] == [Code.DOCUMENT_MISSING] * missed


def test_seal_not_compared__step_until_it_is() -> None:
    sealed = load(sealed=True, pre_loaded=True)
    assert [r.code for r in answer_clearance(snapshot(load=sealed)).reasons] == [Code.SEAL_TO_CHECK]
    assert answer_clearance(snapshot(load=replace(sealed, pre_loaded=False))).reasons == ()
    assert answer_clearance(snapshot(load=replace(sealed, seal_checked=True))).reasons == ()
    other = replace(sealed, seal_read="S-2")
    assert [(r.kind, r.code) for r in answer_clearance(snapshot(load=other)).reasons] == [
        (ReasonKind.BARS, Code.SEAL_DIFFERS)
    ]


def test_cold_load_without_ordered_temperature__unknown_and_not_barred() -> None:
    answer = answer_clearance(snapshot(load=load(setpoint_f=None)))
    assert (answer.answer, [row.code for row in answer.unknown]) == (NOTHING, [Code.ORDERED_TEMPERATURE_UNKNOWN])


def test_cold_defect_and_unnamed_load__unknown_that_does_not_bar() -> None:
    answer = answer_clearance(replace(with_units(cooling={"defects": (cold_defect(),)}), load=None))
    assert [(row.code, row.unit) for row in answer.unknown] == [(Code.COLD_DEFECT_LOAD_UNKNOWN, "CU-41")]


def test_sealed_and_checked_before_loading__inside_rests_on_that_check() -> None:
    """Day 16 of the scenario."""
    sealed = load(pre_loaded=True, pre_load_checked=True, sealed=True, seal_checked=True)

    def asked(row: LeftFact, seal: LoadFact = sealed) -> ClearanceJudgement:
        return answer_clearance(replace(with_units(trailer={"looks": (look(row),)}), load=seal))

    def unknown(answer: ClearanceJudgement) -> list[Code]:
        assert answer.answer is NOTHING
        return [row.code for row in answer.unknown]

    securement = replace(INSIDE, statutory=True, area=PartGroup.GENERAL)
    for row in (INSIDE, securement, replace(INSIDE, why="no_answer"), replace(securement, why="no_answer")):
        assert unknown(asked(row)) == [Code.RESTS_ON_PRE_LOAD_CHECK]
        assert unknown(asked(row, replace(sealed, pre_load_checked=False))) == [Code.AREA_NOT_REACHED]
    assert unknown(asked(INSIDE, replace(sealed, sealed=False))) == [Code.AREA_NOT_REACHED]
    assert asked(securement, replace(sealed, sealed=False)).answer is STEPS
    assert asked(replace(securement, why="dark")).answer is STEPS
    assert asked(replace(securement, behind_seal=False)).answer is STEPS


def test_no_answer_and_not_reached__one_step_with_three_named_and_a_count() -> None:
    """Honesty costs nothing against silence, and silence nothing less than honesty."""
    silent = tuple(left(f"point.{number}") for number in range(5))
    honest = tuple(replace(row, why="no_helper") for row in silent)
    for rows in (silent, honest, (*silent[:2], *honest[2:])):
        (reason,) = answer_clearance(with_units(trailer={"looks": (look(*rows),)})).reasons
        assert (reason.kind, reason.code, reason.unit) == (ReasonKind.DRIVER_STEP, Code.NO_ANSWER_RECORDED, "LR-41")
        assert dict(reason.facts) == {"points": ("point.0", "point.1", "point.2"), "count": 5}


@pytest.mark.parametrize("by", ["ada", "tomo"])
@pytest.mark.parametrize(("hours", "answer"), [(3, NOTHING), (0.5, NOTHING), (23, STEPS)])
def test_recent_walk_of_the_team__answers_what_one_driver_left_open(
    by: str, hours: float, answer: ClearanceAnswer
) -> None:
    """The trip leaves in two hours, and a walk is good for twenty-four."""
    looks = (look(left()), look(hours=hours, by=by, team_mate="ada", answers=("cab.horn",)))
    assert answer_clearance(with_units(trailer={"looks": looks})).answer is answer


def test_another_drivers_walk__neither_asks_nor_answers_where_the_driver_is_named() -> None:
    theirs = look(left("cab.seat"), by="iris", answers=("cab.horn",))
    asked = with_units(trailer={"looks": (look(left()), theirs)})
    (named,) = answer_clearance(replace(asked, driver=DriverFact("ada"))).reasons
    assert dict(named.facts) == {"points": ("cab.horn",), "count": 1}
    (unnamed,) = answer_clearance(asked).reasons
    assert dict(unnamed.facts) == {"points": ("cab.seat",), "count": 1}


def test_walk_of_another_driver_last__it_is_walked_anew_and_nothing_is_listed() -> None:
    asked = replace(with_units(trailer={"looks": (look(left()),)}), driver=DriverFact("tomo"))
    assert {reason.code for reason in answer_clearance(asked).reasons} == {Code.WALK_DUE}


def test_walk_that_answers_for_another_grows_too_old__ends_the_yes() -> None:
    looks = (look(left()), look(hours=20, answers=("cab.horn",)))
    answer = answer_clearance(with_units(trailer={"looks": looks}))
    assert answer.answer is NOTHING
    assert answer.first_to_end_it is not None
    assert (answer.first_to_end_it.code, answer.valid_until) == (Code.NO_ANSWER_RECORDED, NOW + timedelta(hours=4))


def test_reason_given__stands_before_silence() -> None:
    looks = (look(replace(INSIDE, why="dark"), hours=2), look(replace(INSIDE, why="no_answer")))
    (row,) = answer_clearance(with_units(trailer={"looks": looks})).unknown
    assert dict(row.facts)["why"] == "dark"


def test_cooling_fault_on_a_loaded_trailer__never_bars_and_waits_for_a_decision() -> None:
    """Day 15 of the scenario: a load at risk, not a hold."""
    asked = replace(with_units(cooling={"defects": (cold_defect(),)}), load=load(pre_loaded=True))
    answer = answer_clearance(asked)
    assert (answer.answer, [r.code for r in answer.reasons]) == (STEPS, [Code.LOAD_AT_RISK_UNDECIDED])
    early = LoadAtRiskFact("2", "LR-41", NOW, decided_at=NOW - timedelta(days=2))
    assert answer_clearance(replace(asked, loads_at_risk=(early,))).answer is STEPS
    decided = replace(early, decided_at=NOW)
    assert answer_clearance(replace(asked, loads_at_risk=(decided,))).reasons == ()
    elsewhere = replace(decided, unit="LR-47")
    assert answer_clearance(replace(asked, loads_at_risk=(elsewhere,))).answer is STEPS
    hold = with_units(cooling={"holds": (HoldFact(7, HoldKind.CARRIER, NOW, Bars.COLD_FREIGHT),)})
    assert answer_clearance(replace(hold, load=load(pre_loaded=True))).reasons == ()


def test_load_at_risk__bars_new_cold_freight_until_the_disposition() -> None:
    undecided = LoadAtRiskFact("2", "LR-41", NOW)
    asked = snapshot(loads_at_risk=(undecided,))
    aboard, dry = replace(asked, load=load(pre_loaded=True)), replace(asked, load=load(TemperatureClass.DRY))
    for question in (aboard, dry, replace(asked, load=None)):
        reasons = answer_clearance(question).reasons
        assert [(reason.kind, reason.code, reason.unit) for reason in reasons] == [
            (ReasonKind.DRIVER_STEP, Code.LOAD_AT_RISK_UNDECIDED, "LR-41")
        ]
    assert [reason.code for reason in answer_clearance(asked).reasons] == [Code.FOOD_NOT_DISPOSED]
    disposed = replace(asked, loads_at_risk=(replace(undecided, disposed=True, decided_at=NOW),))
    assert answer_clearance(disposed).reasons == ()


def test_undecided_record_and_its_fault__one_step_for_both() -> None:
    fault = cold_defect()
    risk = LoadAtRiskFact("2", "LR-41", fault.since)
    asked = replace(with_units(cooling={"defects": (fault,)}), load=load(pre_loaded=True), loads_at_risk=(risk,))
    assert [dict(reason.facts) for reason in answer_clearance(asked).reasons] == [{"load_at_risk": "2"}]


def test_trailer_asked_for_without_its_tractor__nothing_to_uncouple() -> None:
    asked = snapshot(units=combination()[1:], left_behind=("NL-11",))
    assert answer_clearance(asked).reasons == ()


def test_certificate_after_the_last_review__to_be_reviewed_as_a_report_is() -> None:
    """396.13(c): the driver signs that the certification of the repairs is there."""
    certificate = CertificateFact("c1", NOW)
    reason = answer_clearance(with_units(trailer={"certificates_to_review": (certificate,)})).reasons[0]
    assert (reason.code, reason.since) == (Code.REVIEW_NOT_SIGNED, NOW)
    assert dict(reason.facts) == {"reports": (), "certificates": ("c1",)}


def test_walk_agreed_by_the_team_mate__serves_both_drivers() -> None:
    """396.11(a)(2)(ii): in a team one signature is enough if both agree."""
    walked = WalkFact(NOW, "ada", team_mate="tomo")
    units = combination(tractor={"walk": walked}, trailer={"walk": walked}, cooling={"walk": walked})
    answers = [answer_clearance(snapshot(units=units, driver=DriverFact(who))) for who in ("ada", "tomo", "iris")]
    assert [answer.answer for answer in answers] == [NOTHING, NOTHING, STEPS]


def test_unit_alone__nothing_to_couple() -> None:
    asked = snapshot(units=combination()[:1], joined=False, load=None)
    assert answer_clearance(asked).reasons == ()


def test_carriers_own_defect__says_its_own_source_and_a_statutory_one_the_regulation() -> None:
    own = defect(1, authority=Authority.CARRIER, source="house rule 7")
    listed = defect(2, place="rear right", source="393.9")
    reasons = answer_clearance(with_units(trailer={"defects": (own, listed)})).reasons
    assert {reason.code: reason.source for reason in reasons} == {
        Code.CARRIER_DEFECT: "house rule 7",
        Code.DEFECT_NOT_CERTIFIED: "49 CFR 396.11(a)(3), 396.13",
    }


def test_brake_faults__one_place_is_one_brake_and_no_place_is_one_each() -> None:
    same = (defect(1, **BRAKE), defect(2, **(BRAKE | {"point": "brakes.lining"})))
    assert answer_clearance(with_units(trailer={"defects": same})).answer is NOTHING
    nowhere = tuple(defect(number, **(BRAKE | {"place": ""})) for number in (1, 2))
    answer = answer_clearance(with_units(trailer={"defects": nowhere}))
    assert [dict(reason.facts) for reason in answer.reasons] == [{"defective": 2, "brakes": 10}]


def test_uncoupled__each_unit_answers_for_its_own_brakes() -> None:
    """Day 14 of the scenario: two of ten brakes, both on the trailer; the tractor alone is another matter."""
    bad = (defect(1, place="a", **BRAKE), defect(2, place="b", **BRAKE))
    units = combination(trailer={"defects": bad})
    together = answer_clearance(snapshot(units=units))
    assert dict(together.reasons[0].facts) == {"defective": 2, "brakes": 10}
    tractor, trailer = (answer_clearance(snapshot(units=(one,), load=None)) for one in units[:2])
    assert tractor.answer is NOTHING
    assert dict(trailer.reasons[0].facts) == {"defective": 2, "brakes": 4}


def test_half_counts__only_if_the_policy_says_so() -> None:
    slight = tuple(defect(n, place=str(n), over_in=Decimal("0.1"), **BRAKE) for n in range(3))
    asked = with_units(trailer={"defects": slight})
    assert answer_clearance(asked).answer is BARRED
    assert answer_clearance(replace(asked, policy=ClearancePolicy(half_brake_counts=True))).answer is NOTHING


def test_decision_as_old_as_the_fault__serves() -> None:
    fault = cold_defect()
    risk = LoadAtRiskFact("2", "LR-41", NOW, decided_at=fault.since)
    asked = replace(with_units(cooling={"defects": (fault,)}), load=load(pre_loaded=True), loads_at_risk=(risk,))
    assert answer_clearance(asked).reasons == ()


def test_small_carrier__hold_is_lifted_by_one_person() -> None:
    asked = with_units(trailer={"holds": (HoldFact(7, HoldKind.CARRIER, NOW, expected_at=NOW),)})
    assert answer_clearance(asked).reasons[0].ends_when == "hold_lifted_by_second_person"
    small = replace(asked, policy=ClearancePolicy(small_carrier=True))
    assert answer_clearance(small).reasons[0].ends_when == "hold_lifted"
    assert answer_clearance(small).reasons[0].expected_at == NOW


def test_bars_and_steps_together__bars_first() -> None:
    asked = with_units(trailer={"walk": None, "holds": (HoldFact(7, HoldKind.CARRIER, NOW),)})
    kinds = [reason.kind for reason in answer_clearance(asked).reasons]
    assert kinds == [ReasonKind.BARS, ReasonKind.DRIVER_STEP]


def test_not_known_and_barring__a_reason_and_only_there() -> None:
    put_off = defect(certificate=DeferralFact(NOW, limit_mi=Decimal(900)))
    answer = answer_clearance(with_units(trailer={"looks": (look(INSIDE),)}, cooling={"defects": (put_off,)}))
    assert [(reason.kind, reason.code) for reason in answer.reasons] == [(ReasonKind.BARS, Code.DEFERRAL_LIMIT_UNKNOWN)]
    assert [row.code for row in answer.unknown] == [Code.AREA_NOT_REACHED]


# What a yes leaves open


def _left_open(asked: Snapshot) -> list[tuple[Code, str, dict[str, object]]]:
    answer = answer_clearance(asked)
    assert (answer.answer, answer.reasons, answer.unknown) == (NOTHING, (), ())
    return [(row.code, row.unit, dict(row.facts)) for row in answer.left_open]


def test_deferred_fault__left_open_with_its_limits() -> None:
    until = DeferralFact(NOW, limit_on=date(2026, 12, 31), limit_mi=Decimal(200_000))
    meters = MeterFact(odometer_mi=Decimal(100_000))
    [(code, unit, facts)] = _left_open(
        with_units(tractor={"defects": (defect(5, certificate=until),), "meters": meters})
    )
    assert (code, unit, facts["defect"]) == (Code.DEFECT_DEFERRED, "NL-11", 5)
    assert (facts["limit_on"], facts["limit_mi"]) == (date(2026, 12, 31), Decimal(200_000))
    assert "limit_engine_h" not in facts


@pytest.mark.parametrize(
    ("fault", "code"),
    [(cold_defect(), Code.COLD_DEFECT), (replace(cold_defect(), bars=Bars.FOOD), Code.FOOD_DEFECT)],
)
def test_deferred_fault_that_endangers_the_load__bars_it_and_no_other(fault: DefectFact, code: Code) -> None:
    """396.11(a)(3)(ii) certifies that the vehicle is safe; 21 CFR 1.906 asks for one that keeps the food."""
    put_off = replace(fault, certificate=DeferralFact(NOW, limit_on=date(2026, 12, 31)))
    asked = with_units(cooling={"defects": (put_off,)})
    [reason] = answer_clearance(asked).reasons
    assert (reason.kind, reason.code, reason.ends_when) == (ReasonKind.BARS, code, EndsWhen.DEFECT_REPAIRED)
    aboard = answer_clearance(replace(asked, load=load(pre_loaded=True)))
    assert [row.code for row in aboard.reasons] == [Code.LOAD_AT_RISK_UNDECIDED]
    [(left, _, facts)] = _left_open(replace(asked, load=replace(load(TemperatureClass.DRY), food=False)))
    assert (left, facts["limit_on"]) == (Code.DEFECT_DEFERRED, date(2026, 12, 31))


def test_full_walk_due__said_once_for_all_units_and_bars_nothing() -> None:
    asked = snapshot()
    due = replace(asked, units=tuple(replace(unit, full_walk_due=True) for unit in asked.units))
    facts = {"units": tuple(unit.ref for unit in asked.units), "days": 7}
    assert _left_open(due) == [(Code.FULL_WALK_DUE, "", facts)]
    assert answer_clearance(due).answer is answer_clearance(asked).answer


def test_fault_that_bars_nothing__left_open() -> None:
    watched = defect(6, severity=Severity.WATCH, bars=Bars.NOTHING)
    assert [row[:2] for row in _left_open(with_units(trailer={"defects": (watched,)}))] == [(Code.DEFECT_OPEN, "LR-41")]


def test_cold_fault_and_decided_load_at_risk_on_what_is_aboard__both_left_open() -> None:
    fault = cold_defect()
    risk = LoadAtRiskFact("2", "LR-41", NOW, decided_at=NOW)
    asked = replace(with_units(cooling={"defects": (fault,)}), load=load(pre_loaded=True), loads_at_risk=(risk,))
    assert [row[:2] for row in _left_open(asked)] == [(Code.DEFECT_OPEN, "CU-41"), (Code.LOAD_AT_RISK, "LR-41")]
    disposed = replace(asked, loads_at_risk=(replace(risk, disposed=True),))
    assert [row[0] for row in _left_open(disposed)] == [Code.DEFECT_OPEN]


def test_statutory_fault_that_is_noted_for_the_shop__bars_nothing_and_is_left_open() -> None:
    noted = defect(6, severity=Severity.NEXT_SHOP_VISIT, bars=Bars.NOTHING)
    assert [row[:2] for row in _left_open(with_units(trailer={"defects": (noted,)}))] == [(Code.DEFECT_OPEN, "LR-41")]


def test_cold_fault_under_dry_freight__left_open() -> None:
    asked = replace(with_units(cooling={"defects": (cold_defect(),)}), load=load(TemperatureClass.DRY))
    assert [row[0] for row in _left_open(asked)] == [Code.DEFECT_OPEN]


def test_document_that_does_not_bar__left_open_once_it_has_run_out() -> None:
    run_out = held("biennial_update", date(2026, 3, 9), bars=False)
    assert _left_open(snapshot(carrier_documents=(run_out,))) == [
        (Code.DOCUMENT_EXPIRED, "", {"document": "biennial_update", "last_day": date(2026, 3, 9)})
    ]
    assert _left_open(snapshot(carrier_documents=(held("biennial_update", date(2026, 3, 10), bars=False),))) == []
    assert _left_open(snapshot(carrier_documents=(missing(bars=False),))) == []


def test_limited_move__said_with_its_limits_beside_the_hold_until_its_time_is_over() -> None:
    ends_at, from_mi = NOW + timedelta(hours=4), Decimal(1000)
    move = LimitedMoveFact("Quint Tire, exit 12", Decimal("3.5"), ends_at, "Sol Marrin", "20 mph", from_mi)
    held_fast = with_units(
        trailer={
            "holds": (HoldFact(7, HoldKind.CARRIER, NOW),),
            "limited_moves": (move,),
            "meters": MeterFact(odometer_mi=Decimal("1003.5")),
        }
    )
    held_fast = replace(held_fast, trip=TripFact(LEAVE, ARRIVE, Decimal("3.5")))
    answer = answer_clearance(held_fast)
    assert ([r.code for r in answer.reasons], answer.answer) == ([Code.CARRIER_HOLD], BARRED)
    assert [(row.code, row.unit, dict(row.facts)) for row in answer.left_open] == [
        (
            Code.LIMITED_MOVE,
            "LR-41",
            {
                "to_place": "Quint Tire, exit 12",
                "distance_mi": Decimal("3.5"),
                "ends_at": NOW + timedelta(hours=4),
                "name": "Sol Marrin",
                "conditions": "20 mph",
            },
        )
    ]
    over = replace(held_fast, as_of=NOW + timedelta(hours=4))
    assert [(row.code, row.unit, dict(row.facts)) for row in answer_clearance(over).left_open] == [
        (
            Code.LIMITED_MOVE_PASSED,
            "LR-41",
            {"to_place": "Quint Tire, exit 12", "ends_at": NOW + timedelta(hours=4), "name": "Sol Marrin"},
        )
    ]


@pytest.mark.parametrize(("miles", "said"), [("3.4", False), ("3.5", False), ("3.6", True), (None, False)])
def test_trip_beyond_the_miles_of_a_limited_move__said(miles: str | None, said: bool) -> None:
    move = LimitedMoveFact("Quint Tire, exit 12", Decimal("3.5"), NOW + timedelta(hours=4), "Sol Marrin", "")
    asked = with_units(trailer={"holds": (HoldFact(7, HoldKind.CARRIER, NOW),), "limited_moves": (move,)})
    trip = TripFact(LEAVE, ARRIVE, None if miles is None else Decimal(miles))
    left_open = answer_clearance(replace(asked, trip=trip)).left_open

    passed = [dict(row.facts) for row in left_open if row.code is Code.LIMITED_MOVE_PASSED]
    assert passed == ([{"miles": Decimal("3.6"), "distance_mi": Decimal("3.5")}] if said else [])
    assert Code.LIMITED_MOVE in {row.code for row in left_open}


@pytest.mark.parametrize(
    ("from_mi", "total", "driven"),
    [
        ("1000", "1003.4", None),
        ("1000", "1003.5", None),
        ("1000", "1003.6", "3.6"),
        (None, "1003.6", "unmetered"),
        ("1000", None, "unmetered"),
    ],
)
def test_miles_driven_of_a_limited_move__said_beyond_it_and_where_not_known(
    from_mi: str | None, total: str | None, driven: str | None
) -> None:
    begun = None if from_mi is None else Decimal(from_mi)
    move = LimitedMoveFact("Quint Tire, exit 12", Decimal("3.5"), NOW + timedelta(hours=4), "Sol Marrin", "", begun)
    meters = MeterFact(odometer_mi=None if total is None else Decimal(total))
    holds = (HoldFact(7, HoldKind.CARRIER, NOW),)
    asked = with_units(trailer={"holds": holds, "limited_moves": (move,), "meters": meters})
    asked = replace(asked, trip=TripFact(LEAVE, ARRIVE, Decimal("3.5")))

    said = {row.code: dict(row.facts) for row in answer_clearance(asked).left_open}

    beyond = driven not in {None, "unmetered"}
    assert (Code.LIMITED_MOVE in said, Code.LIMITED_MOVE_PASSED in said) == (not beyond, beyond)
    assert (Code.LIMITED_MOVE_UNMETERED in said) is (driven == "unmetered")
    if beyond:
        assert said[Code.LIMITED_MOVE_PASSED] == {"driven_mi": Decimal("3.6"), "distance_mi": Decimal("3.5")}


def test_limited_move_that_is_over_on_a_unit_that_is_repaired__not_said() -> None:
    move = LimitedMoveFact("Quint Tire, exit 12", Decimal("3.5"), NOW, "Sol Marrin", "")
    assert answer_clearance(with_units(trailer={"limited_moves": (move,)})).left_open == ()


def test_cooling_unit_paused_as_fit_to_move__is_barred_from_cold_freight_only() -> None:
    asked = with_units(cooling={"work": (WorkFact(1014, "belt", NOW, undone="guard"),)})
    [bar] = answer_clearance(asked).reasons
    assert (bar.code, bar.ends_when, dict(bar.facts)["undone"]) == (
        Code.COLD_WORK_IN_PROGRESS,
        EndsWhen.COLD_WORK_DONE,
        "guard",
    )
    assert [row.code for row in answer_clearance(replace(asked, load=None)).unknown] == [Code.COLD_WORK_LOAD_UNKNOWN]
    for freight in (load(TemperatureClass.DRY), load(pre_loaded=True)):
        assert [row[0] for row in _left_open(replace(asked, load=freight))] == [Code.COLD_WORK_IN_PROGRESS]


@pytest.mark.parametrize("kind", ["tractor", "trailer", "cooling"])
def test_work_signed_paused__left_open_with_what_is_undone(kind: str) -> None:
    paused = WorkFact(1014, "oil change", NOW, undone="guard to be painted", cold_freight_too=kind == "cooling")
    [(code, _, facts)] = _left_open(with_units(**{kind: {"work": (paused,)}}))
    assert (code, facts) == (Code.WORK_PAUSED, {"order": 1014, "work": "oil change", "undone": "guard to be painted"})


def test_work_on_the_cooling_unit__is_unknown_without_a_load() -> None:
    asked = with_units(cooling={"work": (WorkFact(1014, "belt", NOW),)})
    assert [row.code for row in answer_clearance(replace(asked, load=None)).unknown] == [Code.COLD_WORK_LOAD_UNKNOWN]
    for freight in (load(TemperatureClass.DRY), load(pre_loaded=True)):
        assert [row[0] for row in _left_open(replace(asked, load=freight))] == [Code.COLD_WORK_IN_PROGRESS]


def test_another_load__said_and_a_step_where_it_is_in_the_way() -> None:
    asked = snapshot(other_loads=(OtherLoadFact("LD-902", "LR-41"),))
    assert _left_open(asked) == [(Code.OTHER_LOAD_ABOARD, "LR-41", {"load": "LD-902"})]
    answer = answer_clearance(replace(asked, other_loads=(OtherLoadFact("LD-902", "LR-41", in_the_way=True),)))
    assert ([(r.code, r.unit) for r in answer.reasons], answer.answer) == (
        [(Code.OTHER_LOAD_IN_THE_WAY, "LR-41")],
        STEPS,
    )


# The driver


def test_drivers_document__run_out_bars_and_missing_is_not_known() -> None:
    licence = replace(held("commercial_driver_licence", date(2026, 3, 9)), missing_bars=False)
    answer = answer_clearance(snapshot(driver=DriverFact("ada", (licence,))))
    assert ([r.code for r in answer.reasons], answer.answer) == ([Code.DOCUMENT_EXPIRED], BARRED)
    none = answer_clearance(snapshot(driver=DriverFact("ada", (replace(licence, spans=()),))))
    assert ([row.code for row in none.unknown], none.answer) == ([Code.DOCUMENT_MISSING], NOTHING)


def test_driver_who_is_none__said() -> None:
    answer = answer_clearance(snapshot(driver=DriverFact("ada", drives=False)))
    assert ([row.code for row in answer.unknown], answer.answer) == ([Code.DRIVER_NOT_ON_RECORD], NOTHING)


def test_food_fault_and_a_load_not_named__said_as_not_known() -> None:
    asked = replace(with_units(trailer={"defects": (cold_defect(bars=Bars.FOOD),)}), load=None)
    assert [row.code for row in answer_clearance(asked).unknown] == [Code.FOOD_DEFECT_LOAD_UNKNOWN]


def test_food_fault_and_freight_that_is_no_food__nothing() -> None:
    no_food = replace(load(TemperatureClass.DRY), food=False)
    asked = replace(with_units(trailer={"defects": (cold_defect(bars=Bars.FOOD),)}), load=no_food)
    assert answer_clearance(asked).answer is NOTHING


def test_setting_under_a_loaded_cold_load__the_drivers_step_whatever_was_decided() -> None:
    aboard = replace(load(TemperatureClass.FROZEN), pre_loaded=True)
    risk = LoadAtRiskFact("2", "LR-41", NOW, decided_at=NOW)
    asked = replace(
        with_units(cooling={"defects": (cold_defect(ends_by_driver=True),)}), load=aboard, loads_at_risk=(risk,)
    )
    assert _codes(answer_clearance(asked)) == {Code.TO_PUT_RIGHT}


def test_wrong_seal__bars_the_load_under_it() -> None:
    wrong = load(TemperatureClass.DRY, sealed=True, pre_loaded=True, seal_read="4417")
    answer = answer_clearance(snapshot(load=wrong))
    assert ([row.code for row in answer.reasons], answer.answer) == ([Code.SEAL_DIFFERS], BARRED)
    assert dict(answer.reasons[0].facts) == {"seal_read": "4417"}
    assert answer_clearance(snapshot(load=replace(wrong, pre_loaded=False))).reasons == ()


def test_table__has_a_row_for_every_code_not_tested_by_itself() -> None:
    by_themselves = {
        Code.SEAL_TO_CHECK,
        Code.SEAL_DIFFERS,
        Code.LOAD_AT_RISK_UNDECIDED,
        Code.RESTS_ON_PRE_LOAD_CHECK,
        Code.COLD_DEFECT_LOAD_UNKNOWN,
        Code.DRIVER_NOT_ON_RECORD,
        Code.COLD_WORK_LOAD_UNKNOWN,
        Code.WORK_PAUSED,
        Code.OTHER_LOAD_IN_THE_WAY,
        Code.DEFECT_OPEN,
        Code.DEFECT_DEFERRED,
        Code.LIMITED_MOVE,
        Code.LIMITED_MOVE_PASSED,
        Code.LIMITED_MOVE_UNMETERED,
        Code.UNIT_LEFT,
        Code.FULL_WALK_DUE,
        Code.LOAD_AT_RISK,
        Code.FUEL_LOST,
        Code.OTHER_LOAD_ABOARD,
        Code.AXLES_OVERWEIGHT,
        Code.GROSS_OVERWEIGHT,
        Code.BRIDGE_OVERWEIGHT,
        Code.TIRES_OVERLOADED,
        Code.NOT_WEIGHED,
        Code.WEIGHTS_NOT_COMPARED,
        Code.FOOD_DEFECT_LOAD_UNKNOWN,
        Code.ORDERED_TEMPERATURE_UNKNOWN,
        Code.PRE_COOL,
        Code.LOAD_OUTSIDE_RANGE,
        Code.PRODUCT_TOO_WARM,
        Code.PRODUCT_TOO_COLD,
        *WEIGHT_CODES.values(),
        Code.OVERWEIGHT_PERMITTED,
        Code.NOT_WEIGHED,
        Code.WEIGHTS_NOT_COMPARED,
    }
    assert {row.code for row in ROWS.values()} == set(Code) - by_themselves
