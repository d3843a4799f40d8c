"""How long an answer holds: ends of days in a zone, margins, walks, deferrals, fuel, and planning ahead."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from defects.enums import ClearanceAnswer
from defects.rules.clearance.answer import ClearanceJudgement, Ending
from defects.rules.clearance.codes import Code
from defects.rules.clearance.evaluate import answer_clearance
from defects.rules.clearance.snapshot import ClearancePolicy, TripFact
from defects.rules.clearance.unit_facts import DeferralFact, FuelFact, MeterFact, UnitFacts, WalkFact
from fleet.rules.documents.periods import PeriodEnd, Reading
from fleet.rules.documents.states import Span
from tests.unit.defects.clearance.snapshots import (
    ARRIVE,
    LEAVE,
    NOW,
    ZONE,
    cold_defect,
    combination,
    defect,
    held,
    load,
    snapshot,
    unit,
    with_units,
)

HOUR = timedelta(hours=1)
TICK = timedelta(microseconds=1)


def _first(answer: ClearanceJudgement) -> Code | None:
    return None if answer.first_to_end_it is None else answer.first_to_end_it.code


def _yard(asked_unit: UnitFacts, as_of: datetime, zone: ZoneInfo = ZONE) -> ClearanceJudgement:
    return answer_clearance(snapshot(units=(asked_unit,), as_of=as_of, zone=zone, trip=None, load=None))


@pytest.mark.parametrize(
    ("zone", "last_day", "ended"),
    [
        # Offsets of the zones around both changes of 2026 (8 March, 1 November), typed from the calendar.
        ("America/Chicago", date(2026, 3, 7), datetime(2026, 3, 8, 6, tzinfo=UTC)),
        ("America/Chicago", date(2026, 3, 8), datetime(2026, 3, 9, 5, tzinfo=UTC)),
        ("America/Chicago", date(2026, 10, 31), datetime(2026, 11, 1, 5, tzinfo=UTC)),
        ("America/Chicago", date(2026, 11, 1), datetime(2026, 11, 2, 6, tzinfo=UTC)),
        ("America/New_York", date(2026, 3, 8), datetime(2026, 3, 9, 4, tzinfo=UTC)),
        ("America/New_York", date(2026, 11, 1), datetime(2026, 11, 2, 5, tzinfo=UTC)),
        ("America/Phoenix", date(2026, 3, 8), datetime(2026, 3, 9, 7, tzinfo=UTC)),
        ("America/Phoenix", date(2026, 11, 1), datetime(2026, 11, 2, 7, tzinfo=UTC)),
    ],
)
def test_last_day__in_date_until_the_midnight_of_the_zone_across_both_changes(
    zone: str, last_day: date, ended: datetime
) -> None:
    before, parked = ended - TICK, unit(documents=(held(last=last_day),), walk=WalkFact(ended - HOUR, "ada"))
    answer = _yard(parked, before, ZoneInfo(zone))
    assert (answer.answer, answer.valid_until) == (ClearanceAnswer.NOTHING_KNOWN_AGAINST, ended)
    expired = _yard(parked, ended, ZoneInfo(zone))
    assert [(reason.code, reason.since) for reason in expired.reasons] == [(Code.DOCUMENT_EXPIRED, ended)]


def test_registration_ending_before_arrival__bars_that_trip_only() -> None:
    """Day 25 of the scenario: it ends on the 27th, the trip is on the 28th."""
    as_of = datetime(2026, 3, 26, 15, tzinfo=UTC)
    units = (unit(documents=(held(last=date(2026, 3, 27)),), walk=WalkFact(as_of - HOUR, "ada")),)
    long = TripFact(datetime(2026, 3, 28, 12, tzinfo=UTC), datetime(2026, 3, 28, 22, tzinfo=UTC))
    short = TripFact(as_of + HOUR, as_of + 3 * HOUR)
    asked = snapshot(as_of=as_of, units=units, load=None)
    barred = answer_clearance(replace(asked, trip=long))
    ends = [reason for reason in barred.reasons if reason.code is Code.DOCUMENT_ENDS_BEFORE_ARRIVAL]
    assert barred.answer is ClearanceAnswer.BARRED
    assert [dict(reason.facts) for reason in ends] == [
        {
            "document": "registration",
            "ends_by_day": date(2026, 3, 27),
            "last_day": date(2026, 3, 27),
            "needed_until": datetime(2026, 3, 29, 22, tzinfo=UTC),
        }
    ]
    assert answer_clearance(replace(asked, trip=short)).answer is ClearanceAnswer.NOTHING_KNOWN_AGAINST


@pytest.mark.parametrize(
    ("margin", "answer"), [(HOUR, ClearanceAnswer.NOTHING_KNOWN_AGAINST), (3 * HOUR, ClearanceAnswer.BARRED)]
)
def test_margin_after_arrival__kept_to_the_microsecond(margin: timedelta, answer: ClearanceAnswer) -> None:
    end = datetime(2026, 3, 11, 5, tzinfo=UTC)  # the midnight after 10 March in the zone
    policy = ClearancePolicy(document_margin=margin)
    units = (unit(documents=(held(last=date(2026, 3, 10)),)),)
    asked = snapshot(units=units, policy=policy, load=None, trip=TripFact(LEAVE, end - 3 * HOUR))
    assert answer_clearance(asked).answer is answer
    if answer is ClearanceAnswer.NOTHING_KNOWN_AGAINST:
        touching = replace(asked, trip=TripFact(LEAVE, end - margin))
        assert answer_clearance(touching).answer is ClearanceAnswer.BARRED
        just = replace(asked, trip=TripFact(LEAVE, end - margin - TICK))
        assert answer_clearance(just).answer is ClearanceAnswer.NOTHING_KNOWN_AGAINST


def test_valid_until__the_latest_leaving_that_still_arrives_in_time() -> None:
    units = (unit(documents=(held(last=date(2026, 3, 11)),)),)
    answer = answer_clearance(snapshot(units=units, load=None))
    end = datetime(2026, 3, 12, 5, tzinfo=UTC)
    assert answer.valid_until == end - timedelta(days=1) - (ARRIVE - LEAVE)
    named = (("document", "registration"), ("last_day", date(2026, 3, 11)))
    leave_by = end - timedelta(days=1) - (ARRIVE - LEAVE)
    assert answer.first_to_end_it == Ending(leave_by, Code.DOCUMENT_ENDS_BEFORE_ARRIVAL, "NL-11", named)


def test_readings_of_an_inspection__policy_or_program_decides_and_both_are_said() -> None:
    """Days 1 and 12 of the scenario: by day it ran out yesterday, by month end it runs on."""
    inspected = held("periodic_inspection", date(2026, 3, 9), month_end=date(2026, 3, 31))
    asked = with_units(trailer={"documents": (inspected,)})
    strict = answer_clearance(asked)
    assert strict.answer is ClearanceAnswer.BARRED
    assert dict(strict.reasons[0].facts)["ends_by_day"] == date(2026, 3, 9)
    assert dict(strict.reasons[0].facts)["ends_by_month_end"] == date(2026, 3, 31)
    policy = ClearancePolicy(reading=Reading.BY_MONTH_END)
    assert answer_clearance(replace(asked, policy=policy)).answer is ClearanceAnswer.NOTHING_KNOWN_AGAINST
    end = PeriodEnd(date(2026, 3, 9), date(2026, 3, 31), month_end_is_the_rule=True)
    by_state = replace(inspected, spans=(Span(None, end),))
    assert (
        answer_clearance(with_units(trailer={"documents": (by_state,)})).answer is ClearanceAnswer.NOTHING_KNOWN_AGAINST
    )


def test_renewal_held_already__carries_over_the_trip() -> None:
    spans = (Span(None, PeriodEnd(date(2026, 3, 10))), Span(date(2026, 3, 11), PeriodEnd(date(2027, 3, 10))))
    document = replace(held(), spans=spans)
    assert (
        answer_clearance(with_units(trailer={"documents": (document,)})).answer is ClearanceAnswer.NOTHING_KNOWN_AGAINST
    )


def test_walk__due_again_exactly_after_the_policys_hours() -> None:
    walked = WalkFact(NOW - 20 * HOUR, "ada")
    asked = with_units(tractor={"walk": walked}, trailer={}, cooling={})
    due = walked.at + 24 * HOUR
    assert answer_clearance(asked).valid_until == due
    assert _first(answer_clearance(asked)) is Code.WALK_DUE
    assert answer_clearance(replace(asked, as_of=due - TICK)).answer is ClearanceAnswer.NOTHING_KNOWN_AGAINST
    late = answer_clearance(replace(asked, as_of=due))
    assert (late.answer, late.reasons[0].since) == (ClearanceAnswer.AFTER_DRIVER_STEPS, due)


def test_tomorrows_yard_planned_tonight__walks_due_then_and_nothing_else() -> None:
    morning = TripFact(NOW + 24 * HOUR, NOW + 24 * HOUR)
    answer = answer_clearance(snapshot(trip=morning, load=None))
    assert answer.answer is ClearanceAnswer.AFTER_DRIVER_STEPS
    assert {reason.code for reason in answer.reasons} == {Code.WALK_DUE}


@pytest.mark.parametrize(
    ("deferral", "meters", "code"),
    [
        (DeferralFact(NOW, limit_engine_h=Decimal(160)), MeterFact(engine_h=Decimal(150)), "ends_before_arrival"),
        (DeferralFact(NOW, limit_engine_h=Decimal("160.1")), MeterFact(engine_h=Decimal(150)), None),
        (DeferralFact(NOW, limit_engine_h=Decimal(150)), MeterFact(engine_h=Decimal(150)), "over"),
        (DeferralFact(NOW, limit_mi=Decimal(401)), MeterFact(odometer_mi=Decimal(0)), None),
        (DeferralFact(NOW, limit_mi=Decimal(400)), MeterFact(odometer_mi=Decimal(0)), "ends_before_arrival"),
        (DeferralFact(NOW, limit_mi=Decimal(400)), MeterFact(odometer_mi=Decimal(400)), "over"),
        (DeferralFact(NOW, date(2026, 3, 9), Decimal(400), Decimal(9)), MeterFact(Decimal(0), Decimal(0)), "over"),
        (DeferralFact(NOW, date(2026, 3, 11), Decimal(9999)), MeterFact(odometer_mi=Decimal(0)), None),
    ],
)
def test_deferral__first_of_its_limits_ends_it(deferral: DeferralFact, meters: MeterFact, code: str | None) -> None:
    asked = with_units(tractor={"defects": (defect(certificate=deferral),), "meters": meters})
    reasons = [reason.code for reason in answer_clearance(asked).reasons]
    assert reasons == ([] if code is None else [f"deferral_{code}"])


def test_deferral_on_its_last_day_and_after__over_from_the_midnight_on() -> None:
    over = datetime(2026, 3, 11, 5, tzinfo=UTC)
    tractor = unit(defects=(defect(certificate=DeferralFact(NOW, date(2026, 3, 10))),))
    assert _yard(tractor, over - TICK).valid_until == over
    assert [reason.code for reason in _yard(tractor, over).reasons] == [Code.DEFERRAL_OVER]


def test_deferral_in_miles_in_the_yard__no_miles_ahead() -> None:
    certificate = DeferralFact(NOW, limit_mi=Decimal(101))
    tractor = unit(defects=(defect(certificate=certificate),), meters=MeterFact(odometer_mi=Decimal(100)))
    assert _yard(tractor, NOW).answer is ClearanceAnswer.NOTHING_KNOWN_AGAINST


def test_several_ended_documents__the_newest_is_named() -> None:
    spans = tuple(
        Span(date(year, 1, 1), PeriodEnd(date(year, 12, 31), date(year + 1, 1, 31))) for year in (2025, 2023, 2024)
    )
    reason = _yard(unit(documents=(replace(held(), spans=spans),)), NOW).reasons[0]
    assert reason.code is Code.DOCUMENT_EXPIRED
    assert dict(reason.facts) == {
        "document": "registration",
        "starts_on": date(2025, 1, 1),
        "ends_by_day": date(2025, 12, 31),
        "ends_by_month_end": date(2026, 1, 31),
        "last_day": date(2025, 12, 31),
        "needed_until": NOW,
    }


def test_deferral_in_miles_over_an_unknown_distance__bars_until_it_is_shown() -> None:
    certificate = DeferralFact(NOW, limit_mi=Decimal(9999))
    meters = MeterFact(odometer_mi=Decimal(0))
    asked = with_units(tractor={"defects": (defect(certificate=certificate),), "meters": meters})
    unknown = answer_clearance(replace(asked, trip=TripFact(LEAVE, ARRIVE)))
    assert (unknown.answer, [row.code for row in unknown.reasons]) == (
        ClearanceAnswer.BARRED,
        [Code.DEFERRAL_LIMIT_UNKNOWN],
    )
    assert answer_clearance(replace(asked, trip=None)).answer is ClearanceAnswer.NOTHING_KNOWN_AGAINST


def test_deferral_until_a_day__holds_until_the_last_leaving_that_arrives_by_then() -> None:
    """Day 4 of the scenario: until day 14 or 150 engine hours."""
    certificate = DeferralFact(NOW, limit_on=date(2026, 3, 15), limit_engine_h=Decimal(1150))
    cooling = {
        "defects": (defect(certificate=certificate),),
        "meters": MeterFact(engine_h=Decimal(1000)),
        "walk": WalkFact(NOW, "ada"),
    }
    policy = ClearancePolicy(walk_valid_for=timedelta(days=30))
    asked = replace(with_units(cooling=cooling), policy=policy)
    answer = answer_clearance(asked)
    over = datetime(2026, 3, 16, 5, tzinfo=UTC)
    assert (answer.answer, answer.valid_until) == (ClearanceAnswer.NOTHING_KNOWN_AGAINST, over - (ARRIVE - LEAVE))
    assert answer_clearance(replace(asked, as_of=over)).reasons[0].code is Code.DEFERRAL_OVER


def test_fuel_before_a_forty_hour_trip_across_the_change_of_clocks__gallons_to_add() -> None:
    """Day 7 of the scenario: 3/8 of 50 gallons; the clocks go forward on the way, the engine does not."""
    leave = datetime(2026, 3, 7, 18, tzinfo=ZONE)
    arrive = datetime(2026, 3, 9, 11, tzinfo=ZONE)  # 41 hours by the wall, 40 by the clock that runs
    fuel = FuelFact(leave, Decimal("18.75"), Decimal("0.8"), Decimal(50), Decimal(2))
    units = combination(cooling={"fuel": fuel})
    asked = snapshot(as_of=leave, units=units, trip=TripFact(leave, arrive), policy=ClearancePolicy())
    steps = [reason for reason in answer_clearance(asked).reasons if reason.code is Code.FUEL_TO_ADD]
    # 40 h at 0.8 gal/h are 32; with 5 in reserve and 2 unusable 39; 18.75 are there; 20.25 more, in whole gallons 21.
    assert [dict(step.facts) for step in steps] == [
        {"add_gal": 21, "reserve_gal": 5, "more_than_the_tank_holds": False}
    ]
    full = replace(fuel, level_gal=Decimal(39))
    enough = replace(asked, units=combination(cooling={"fuel": full}))
    assert Code.FUEL_TO_ADD not in {reason.code for reason in answer_clearance(enough).reasons}
    short = replace(fuel, level_gal=Decimal("38.99"))
    assert Code.FUEL_TO_ADD in {
        reason.code for reason in answer_clearance(replace(asked, units=combination(cooling={"fuel": short}))).reasons
    }


def test_more_fuel_than_the_tank_holds__said() -> None:
    fuel = FuelFact(NOW, Decimal(40), Decimal(6), Decimal(50))
    step = answer_clearance(with_units(cooling={"fuel": fuel})).reasons[0]
    assert dict(step.facts) == {"add_gal": 25, "reserve_gal": 5, "more_than_the_tank_holds": True}


def test_fuel_that_just_fills_the_tank__not_more_than_it_holds() -> None:
    fuel = FuelFact(NOW, Decimal(40), Decimal("4.5"), Decimal(50))
    step = answer_clearance(with_units(cooling={"fuel": fuel})).reasons[0]
    assert dict(step.facts) == {"add_gal": 10, "reserve_gal": 5, "more_than_the_tank_holds": False}


@pytest.mark.parametrize("fuel", [FuelFact(NOW, None, Decimal("0.5")), FuelFact(NOW, Decimal(40), None)])
def test_fuel_without_level_or_rate__unknown(fuel: FuelFact) -> None:
    answer = answer_clearance(with_units(cooling={"fuel": fuel}))
    assert [row.code for row in answer.unknown] == [Code.FUEL_UNKNOWN]


def test_running_unit_that_waits__fuel_ends_the_answer() -> None:
    """20 gallons at 0.5 an hour with 5 in reserve last 30 hours; 10 are the trip's."""
    fuel = FuelFact(NOW, Decimal(20), Decimal("0.5"), Decimal(50), running=True)
    policy = ClearancePolicy(walk_valid_for=timedelta(days=3))
    asked = replace(with_units(cooling={"fuel": fuel}), policy=policy)
    answer = answer_clearance(asked)
    assert (answer.valid_until, _first(answer)) == (NOW + 20 * HOUR + TICK, Code.FUEL_TO_ADD)
    late = answer_clearance(replace(asked, as_of=NOW + 20 * HOUR + TICK))
    assert dict(late.reasons[0].facts)["add_gal"] == 1
    assert answer_clearance(replace(asked, as_of=NOW + 20 * HOUR)).reasons == ()
    parked = replace(asked, units=combination(cooling={"fuel": replace(fuel, running=False)}))
    assert _first(answer_clearance(parked)) is Code.WALK_DUE


def test_running_unit_that_burns_nothing_measurable__fuel_never_ends_the_answer() -> None:
    policy = ClearancePolicy(walk_valid_for=timedelta(days=9999))
    for burn in (Decimal(0), Decimal("1E-30")):
        fuel = FuelFact(NOW, Decimal(20), burn, Decimal(50), running=True)
        answer = answer_clearance(replace(with_units(cooling={"fuel": fuel}), policy=policy))
        assert (answer.answer, _first(answer)) == (
            ClearanceAnswer.NOTHING_KNOWN_AGAINST,
            Code.DOCUMENT_ENDS_BEFORE_ARRIVAL,
        )


def test_barred__no_time_until_which_it_would_hold() -> None:
    answer = answer_clearance(with_units(trailer={"defects": (defect(expected_at=LEAVE),)}))
    assert (answer.valid_until, answer.first_to_end_it) == (None, None)
    assert answer.reasons[0].expected_at == LEAVE


def test_departure_that_has_passed__asked_as_leaving_now() -> None:
    late = snapshot(as_of=LEAVE + timedelta(days=300))
    codes = {reason.code for reason in answer_clearance(late).reasons}
    assert codes == {Code.DOCUMENT_EXPIRED, Code.WALK_DUE}


@pytest.mark.parametrize(
    "changes",
    [
        {"as_of": NOW.replace(tzinfo=None)},
        {"trip": TripFact(LEAVE.replace(tzinfo=None), ARRIVE)},
        {"trip": TripFact(LEAVE, LEAVE - TICK)},
        {"units": ()},
        {"units": (unit("NL-11"), unit("NL-11"))},
    ],
)
def test_clearance_request_that_makes_no_sense__refused(changes: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match=r"offset|arrival|at least one"):
        answer_clearance(snapshot(**changes))


def test_yard_of_pre_loaded_cold_trailer__answers_for_its_load() -> None:
    asked = replace(with_units(cooling={"defects": (cold_defect(),)}), trip=None, load=load(pre_loaded=True))
    assert answer_clearance(asked).answer is ClearanceAnswer.AFTER_DRIVER_STEPS


@pytest.mark.parametrize("last", [date.min, date(1, 1, 2), date(9999, 12, 30), date.max])
def test_document_at_the_end_of_the_calendar__answered_all_the_same(last: date) -> None:
    asked = with_units(trailer={"documents": (held(last=last),)})
    answer = answer_clearance(asked)
    expired = [reason.code for reason in answer.reasons] == [Code.DOCUMENT_EXPIRED]
    assert expired is (last < NOW.date())
    assert answer_clearance(replace(asked, trip=None)).answer == answer.answer


def test_repair_put_off_until_the_end_of_the_calendar__never_over() -> None:
    put_off = defect(certificate=DeferralFact(NOW, limit_on=date.max))
    assert answer_clearance(with_units(tractor={"defects": (put_off,)})).answer is ClearanceAnswer.NOTHING_KNOWN_AGAINST
