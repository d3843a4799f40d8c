"""Judging one answer: what is fine, what is a finding whatever it is called, and what is flagged."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from defects.enums import Bars, NotReached, Outcome, Severity
from defects.rules.catalogue.catalogue import Catalogue, load_catalogue
from defects.rules.catalogue.closed_sets import FailsWhen
from defects.rules.catalogue.observed import Conditions, UnitFacts
from defects.rules.walkarounds.body import CorrectionBody
from defects.rules.walkarounds.verdicts import FlagCode
from tests.support.rule_facts import (
    BY_DAY,
    COOLING_UNIT,
    DRIVER,
    TODAY,
    TRACTOR,
    TRAILER,
    check,
    codes,
    judge,
    point,
    with_axles,
)

STROKE = "brakes.service.pushrod-stroke"
TREAD = "tires.steer.tread-depth"
PHOTO = "ab" * 32
DONE = CorrectionBody(what="changed the lamp", by="A. Brisk", photo=PHOTO)


def test_within_limits__fine_and_names_the_limit() -> None:
    verdict = judge(check(STROKE, "fine", "axle-2-right", "1.62"), TRAILER)
    assert verdict.outcome is Outcome.FINE
    assert (verdict.rule_id, verdict.limit_id, verdict.limit_value) == (
        f"{STROKE}#type-24-long",
        "type-24-long",
        Decimal(2),
    )
    assert verdict.accepted_value == Decimal("1.62")
    assert (verdict.severity, verdict.bars, verdict.flags) == (None, Bars.NOTHING, ())


def test_looked_at_and_fine__fine() -> None:
    verdict = judge(check("cab.horn"), TRACTOR)
    assert (verdict.outcome, verdict.rule_id, verdict.source) == (Outcome.FINE, "judge#fine", None)


def test_over_the_limit_though_called_fine__finding() -> None:
    verdict = judge(check(STROKE, "fine", "axle-2-right", "2.31"), TRAILER)
    assert verdict.outcome is Outcome.FINDING
    assert (verdict.severity, verdict.bars) == (Severity.BEFORE_NEXT_USE, Bars.MOVEMENT)
    assert verdict.regulation_severity is Severity.BEFORE_NEXT_USE
    assert (verdict.limit_id, verdict.limit_value) == ("type-24-long", Decimal(2))
    assert str(verdict.source) == "49 CFR 393.47(e)"
    assert (verdict.counts_as_service_brake, verdict.on_steering_axle) == (True, False)
    assert verdict.accepted_value == Decimal("2.31")
    assert codes(verdict) == [FlagCode.ANSWER_CONTRADICTS_VALUE]


@pytest.mark.parametrize("answer", ["fine", "not_applicable", "not_reached", "defect", "corrected", "whatever"])
def test_over_the_limit__a_finding_whatever_it_is_called(answer: str) -> None:
    verdict = judge(check(STROKE, answer, "axle-2-right", "2.31"), TRAILER)
    assert (verdict.outcome, verdict.severity) == (Outcome.FINDING, Severity.BEFORE_NEXT_USE)


def test_steering_axle__do_not_move_and_flagged() -> None:
    verdict = judge(check(STROKE, "defect", "axle-1-left", "2.31"), TRACTOR)
    assert verdict.severity is Severity.DO_NOT_MOVE
    assert (verdict.counts_as_service_brake, verdict.on_steering_axle) == (True, True)
    assert verdict.flags == ()


def test_tread_between_the_two_strengths__watch_by_the_carriers_own_limit() -> None:
    verdict = judge(check(TREAD, "fine", "axle-1-left", "5"), TRACTOR)
    assert (verdict.severity, verdict.bars) == (Severity.WATCH, Bars.NOTHING)
    assert verdict.regulation_severity is None
    assert verdict.limit_id == "watch-6"


def test_tread_below_both__the_regulation_decides() -> None:
    verdict = judge(check(TREAD, "fine", "axle-1-left", "3.5"), TRACTOR)
    assert (verdict.severity, verdict.limit_id) == (Severity.DO_NOT_MOVE, "minimum-4")
    assert verdict.regulation_severity is Severity.DO_NOT_MOVE


def test_cooling_finding__bars_cold_freight_and_never_movement() -> None:
    verdict = judge(check("cooling.setpoint", "fine", "", "2"), replace(COOLING_UNIT, ordered_setpoint_f=Decimal(34)))
    assert (verdict.severity, verdict.bars) == (Severity.NEXT_SHOP_VISIT, Bars.COLD_FREIGHT)
    bars = {limit.bars for one in load_catalogue().for_unit_kind("cooling_unit") for limit in one.limits}
    assert Bars.MOVEMENT not in bars


# what cannot be placed ---------------------------------------------------------------------------------------------


def test_unknown_point__flagged() -> None:
    verdict = judge(check("tires.steer.color", "defect"), TRACTOR)
    assert (verdict.outcome, codes(verdict), verdict.severity) == (Outcome.FLAGGED, [FlagCode.POINT_UNKNOWN], None)


@pytest.mark.parametrize(
    ("on", "outcome"), [(date(2026, 3, 5), Outcome.FINE), (TODAY, Outcome.FLAGGED), (date(2027, 1, 1), Outcome.FLAGGED)]
)
def test_retired_point__fine_until_the_day_before(on: date, outcome: Outcome) -> None:
    catalogue = Catalogue.of([replace(point("cab.horn"), retired_on=TODAY)])
    verdict = judge(check("cab.horn"), TRACTOR, on=on, catalogue=catalogue)
    assert verdict.outcome is outcome
    assert codes(verdict) == ([FlagCode.POINT_RETIRED] if outcome is Outcome.FLAGGED else [])


def test_point_of_another_kind_of_unit__flagged() -> None:
    assert codes(judge(check("cab.horn"), TRAILER)) == [FlagCode.POINT_NOT_FOR_UNIT_KIND]


@pytest.mark.parametrize(
    "place", ["axle-3-left", "axle-2", "axle-2-right-outer", "left", "axle-2-right ", "axle-02-left"]
)
def test_place_the_unit_has_not__flagged(place: str) -> None:
    verdict = judge(check(STROKE, "fine", place, "1.5"), TRAILER)
    assert (verdict.outcome, codes(verdict)) == (Outcome.FLAGGED, [FlagCode.PLACE_UNKNOWN])
    assert verdict.accepted_value is None


def test_no_place_where_one_is_asked__flagged_as_missing() -> None:
    verdict = judge(check(STROKE, "fine", "", "1.5"), TRAILER)
    assert (verdict.outcome, codes(verdict)) == (Outcome.FLAGGED, [FlagCode.PLACE_MISSING])


def test_defect_at_a_place_the_unit_has_not__flagged_and_says_what_it_would_be() -> None:
    verdict = judge(check("tires.trailer.body", "defect", "axle-5-left-outer", finding="cord_showing"), TRAILER)
    assert verdict.outcome is Outcome.FLAGGED
    assert (verdict.severity, verdict.finding) == (Severity.DO_NOT_MOVE, "cord_showing")
    assert codes(verdict) == [FlagCode.PLACE_UNKNOWN]


def test_axles_not_recorded__a_fault_at_a_wheel_is_not_lost() -> None:
    bare = UnitFacts(kind="trailer")
    verdict = judge(check("tires.trailer.body", "defect", "axle-2-left-outer", finding="cord_showing"), bare)
    assert (verdict.outcome, verdict.severity) == (Outcome.FINDING, Severity.DO_NOT_MOVE)


# values -------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("value", ["-0.1", "4.1", "231"])
def test_implausible_value__flagged_and_enters_no_series(value: str) -> None:
    verdict = judge(check(STROKE, "fine", "axle-2-right", value), TRAILER)
    assert (verdict.outcome, codes(verdict)) == (Outcome.FLAGGED, [FlagCode.VALUE_IMPLAUSIBLE])
    assert verdict.accepted_value is None


@pytest.mark.parametrize("value", ["0", "1.6"])
def test_plausible_value_at_its_edge__fine(value: str) -> None:
    assert judge(check(STROKE, "fine", "axle-2-right", value), TRAILER).outcome is Outcome.FINE


@pytest.mark.parametrize(
    ("unit_of_measure", "code"),
    [(None, FlagCode.UNIT_MISSING), ("", FlagCode.UNIT_MISSING), ("mm", FlagCode.UNIT_WRONG)],
)
def test_value_without_its_unit_of_measure__flagged(unit_of_measure: str | None, code: FlagCode) -> None:
    verdict = judge(check(STROKE, "fine", "axle-2-right", "1.5", unit_of_measure=unit_of_measure), TRAILER)
    assert (verdict.outcome, codes(verdict)) == (Outcome.FLAGGED, [code])


def test_unit_of_measure_without_a_value__flagged() -> None:
    verdict = judge(check(TREAD, "fine", "axle-1-left", unit_of_measure="32nds"), TRACTOR)
    assert (verdict.outcome, codes(verdict)) == (Outcome.FLAGGED, [FlagCode.VALUE_MISSING])


def test_value_where_none_is_asked__flagged() -> None:
    verdict = judge(check("cab.horn", "fine", value="3", unit_of_measure="s"), TRACTOR)
    assert (verdict.outcome, codes(verdict)) == (Outcome.FLAGGED, [FlagCode.VALUE_NOT_ASKED])


def test_needed_value_not_given__flagged() -> None:
    assert codes(judge(check(STROKE, "fine", "axle-2-right"), TRAILER)) == [FlagCode.VALUE_MISSING]


def test_value_that_is_due_now_and_then_not_given__fine() -> None:
    assert judge(check(TREAD, "fine", "axle-1-left"), TRACTOR).outcome is Outcome.FINE


# limits that are not known ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "unknown", [{"chamber_type": None}, {"stroke_class": None}, {"chamber_type": "50"}, {"chamber_type": "6"}]
)
def test_chamber_not_known_or_not_in_the_table__flagged(unknown: dict[str, str | None]) -> None:
    verdict = judge(check(STROKE, "fine", "axle-2-right", "1.2"), with_axles(TRAILER, **unknown))
    assert (verdict.outcome, codes(verdict)) == (Outcome.FLAGGED, [FlagCode.LIMIT_UNKNOWN])
    assert verdict.accepted_value is None


def test_only_a_carriers_limit_applies_beside_a_regulation__flagged_too() -> None:
    """A limit of the carrier's own that is kept says nothing of the regulation's that nobody could look up."""
    own = replace(point(TREAD).limits[1], id="any", value=Decimal(3), fails_when=FailsWhen.ABOVE)
    catalogue = Catalogue.of([replace(point(STROKE), limits=(*point(STROKE).limits, own))])
    facts = check(STROKE, "fine", "axle-2-right", "1.2")
    unknown = judge(facts, with_axles(TRAILER, chamber_type="50"), catalogue=catalogue)
    assert (unknown.outcome, codes(unknown)) == (Outcome.FLAGGED, [FlagCode.LIMIT_UNKNOWN])
    assert judge(facts, TRAILER, catalogue=catalogue).outcome is Outcome.FINE


def test_chamber_not_known_but_past_every_limit__finding() -> None:
    verdict = judge(check(STROKE, "fine", "axle-2-right", "2.6"), with_axles(TRAILER, chamber_type=None))
    assert (verdict.outcome, verdict.severity) == (Outcome.FINDING, Severity.BEFORE_NEXT_USE)
    assert FlagCode.LIMIT_UNKNOWN in codes(verdict)
    assert verdict.accepted_value is None


def test_defect_with_an_unknown_limit__finding_all_the_same() -> None:
    verdict = judge(check(STROKE, "defect", "axle-2-right", "1.2"), with_axles(TRAILER, chamber_type=None))
    assert (verdict.outcome, verdict.finding) == (Outcome.FINDING, "indicator_past_mark")
    assert codes(verdict) == [FlagCode.LIMIT_UNKNOWN]


def test_wheel_diameter_between_the_rows__flagged() -> None:
    verdict = judge(
        check("steering.free-play", "fine", "", "2"), replace(TRACTOR, steering_wheel_diameter_in=Decimal(27))
    )
    assert (verdict.outcome, codes(verdict)) == (Outcome.FLAGGED, [FlagCode.LIMIT_UNKNOWN])


@pytest.mark.parametrize(("value", "outcome"), [("0.25", Outcome.FINE), ("0.24", Outcome.FINDING)])
def test_lining_of_unknown_make_on_the_steer_axle__judged_by_the_stricter(value: str, outcome: Outcome) -> None:
    unit = with_axles(TRACTOR, lining=None)
    assert judge(check("brakes.service.lining", "fine", "axle-1-left", value), unit).outcome is outcome


@pytest.mark.parametrize(
    ("pins", "value", "outcome"),
    [(4, "4", "fine"), (4, "3", "finding"), (2, "2", "fine"), (None, "4", "fine"), (None, "3", "finding")],
)
def test_slider_pins__all_of_the_units_own_or_of_the_usual_four(pins: int | None, value: str, outcome: str) -> None:
    unit = replace(TRAILER, slider_pins=None if pins is None else Decimal(pins))
    assert judge(check("suspension.slider-pins", "fine", "", value), unit).outcome == outcome


def test_marked_maximum_not_known__pressure_flagged() -> None:
    verdict = judge(
        check("tires.trailer.pressure", "fine", "axle-1-left-outer", "95"), with_axles(TRAILER, max_psi=None)
    )
    assert (verdict.outcome, codes(verdict)) == (Outcome.FLAGGED, [FlagCode.LIMIT_UNKNOWN])


def test_target_pressure_not_known__the_carriers_own_limit_is_left_out() -> None:
    verdict = judge(
        check("tires.trailer.pressure", "fine", "axle-1-left-outer", "80"), with_axles(TRAILER, target_psi=None)
    )
    assert verdict.outcome is Outcome.FINE
    known = judge(check("tires.trailer.pressure", "fine", "axle-1-left-outer", "80"), TRAILER)
    assert (known.outcome, known.severity, known.limit_value) == (
        Outcome.FINDING,
        Severity.NEXT_SHOP_VISIT,
        Decimal(90),
    )


@pytest.mark.parametrize(
    ("unit", "outcome"),
    [
        (replace(TRAILER, built_on=date(1998, 1, 26)), Outcome.FINDING),
        (replace(TRAILER, built_on=date(1998, 1, 25)), Outcome.FINE),
        (replace(TRAILER, built_on=None, model_year=2000), Outcome.FINDING),
        (replace(TRAILER, built_on=None, model_year=1997), Outcome.FINE),
        (replace(TRAILER, built_on=None, model_year=1998), Outcome.FINDING),
        (replace(TRAILER, built_on=None, model_year=1999), Outcome.FINDING),
        (replace(TRAILER, built_on=None, model_year=None), Outcome.FINDING),
    ],
)
def test_guard_at_25_inches__judged_by_when_the_trailer_was_built(unit: UnitFacts, outcome: Outcome) -> None:
    assert judge(check("guard.rear.height", "fine", "", "25"), unit).outcome is outcome


# surroundings -------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("night", "severity", "flagged"),
    [
        (False, Severity.BEFORE_NEXT_USE, []),
        (True, Severity.DO_NOT_MOVE, []),
        (None, Severity.DO_NOT_MOVE, [FlagCode.CONDITION_UNKNOWN]),
    ],
)
def test_headlamp_out__worse_at_night_and_worst_if_nobody_said(
    *, night: bool | None, severity: Severity, flagged: list[FlagCode]
) -> None:
    conditions = replace(BY_DAY, night=night)
    verdict = judge(check("lamps.tractor.headlamps", "defect", "left-low"), TRACTOR, conditions)
    assert (verdict.severity, codes(verdict)) == (severity, flagged)


@pytest.mark.parametrize(
    ("place", "raining", "severity"),
    [
        ("driver", True, Severity.DO_NOT_MOVE),
        ("driver", False, Severity.BEFORE_NEXT_USE),
        ("passenger", True, Severity.BEFORE_NEXT_USE),
    ],
)
def test_wiper__do_not_move_on_the_drivers_side_in_rain(place: str, severity: Severity, *, raining: bool) -> None:
    verdict = judge(check("cab.wipers-and-washer", "defect", place), TRACTOR, replace(BY_DAY, raining=raining))
    assert verdict.severity is severity


def test_tractor_stop_lamp__do_not_move_where_it_is_the_rearmost() -> None:
    lamp = check("lamps.tractor.rear", "defect", "left", finding="stop_out")
    assert judge(lamp, TRACTOR).severity is Severity.BEFORE_NEXT_USE
    assert judge(lamp, TRACTOR, replace(BY_DAY, coupled=False)).severity is Severity.DO_NOT_MOVE


def test_leak_test_coupled_answered_fine_without_a_trailer__flagged() -> None:
    verdict = judge(check("air.leak.released-coupled", "fine", "", "1"), TRACTOR, replace(BY_DAY, coupled=False))
    assert codes(verdict) == [FlagCode.DOES_NOT_APPLY]


def test_leak_test_coupled_too_high_without_a_trailer__finding_all_the_same() -> None:
    verdict = judge(check("air.leak.released-coupled", "defect", "", "9"), TRACTOR, replace(BY_DAY, coupled=False))
    assert (verdict.outcome, codes(verdict)) == (Outcome.FINDING, [FlagCode.DOES_NOT_APPLY])


def test_dropped_with_less_than_three_quarters__watch_only_then() -> None:
    low = check("cooling.fuel.level", "fine", "", "37")
    assert judge(low, COOLING_UNIT, replace(BY_DAY, walk_kind="drop")).severity is Severity.WATCH
    assert judge(low, COOLING_UNIT).outcome is Outcome.FINE


# defects, named and not ---------------------------------------------------------------------------------------------


def test_defect_without_a_name__the_points_default() -> None:
    verdict = judge(check("cab.horn", "defect"), TRACTOR)
    assert (verdict.rule_id, verdict.finding, verdict.limit_id) == ("cab.horn#silent", "silent", None)


def test_defect_told_in_words_alone__graded_by_the_default_and_not_named_by_it() -> None:
    verdict = judge(check("cab.horn", "defect", note="hangs by one bolt"), TRACTOR)
    assert (verdict.rule_id, verdict.finding) == ("cab.horn#silent", None)


def test_defect_of_an_unknown_name__as_grave_as_the_worst_the_point_knows_and_not_named_by_it() -> None:
    verdict = judge(check("fuel.tractor.leak", "defect", finding="wet"), TRACTOR)
    assert (verdict.outcome, verdict.severity, verdict.finding) == (Outcome.FINDING, Severity.DO_NOT_MOVE, None)
    assert codes(verdict) == [FlagCode.FINDING_UNKNOWN]


def test_named_defect_and_failed_limit__the_worse_stands() -> None:
    facts = check("air.leak.released-coupled", "defect", "", "3.5", finding="cannot_hold_pressure")
    verdict = judge(facts, TRACTOR)
    assert (verdict.severity, verdict.finding, verdict.limit_id) == (Severity.DO_NOT_MOVE, "cannot_hold_pressure", None)
    milder = check(TREAD, "defect", "axle-1-left", "3", finding="looks_worn")
    assert judge(milder, TRACTOR).limit_id == "minimum-4"


def test_defect_though_the_value_is_within_limits__finding_and_flagged() -> None:
    verdict = judge(check(TREAD, "defect", "axle-1-left", "12"), TRACTOR)
    assert (verdict.outcome, verdict.finding) == (Outcome.FINDING, "looks_worn")
    assert codes(verdict) == [FlagCode.VALUE_WITHIN_LIMITS]


def test_defect_without_the_value_it_needs__finding_and_flagged() -> None:
    verdict = judge(check(STROKE, "defect", "axle-2-right"), TRAILER)
    assert (verdict.outcome, codes(verdict)) == (Outcome.FINDING, [FlagCode.VALUE_MISSING])


def test_defect_with_an_implausible_value__finding_by_its_default_and_flagged() -> None:
    verdict = judge(check(STROKE, "defect", "axle-2-right", "99"), TRAILER)
    assert (verdict.outcome, verdict.finding) == (Outcome.FINDING, "indicator_past_mark")
    assert codes(verdict) == [FlagCode.VALUE_IMPLAUSIBLE]
    assert verdict.accepted_value is None


@pytest.mark.parametrize("answer", ["fine", "not_applicable", "not_reached", "whatever"])
def test_condition_named_in_another_answer__finding(answer: str) -> None:
    verdict = judge(check("cab.horn", answer, finding="weak", reason="other"), TRACTOR)
    assert (verdict.outcome, verdict.finding) == (Outcome.FINDING, "weak")
    assert FlagCode.ANSWER_CONTRADICTS_FINDING in codes(verdict)


def test_answer_of_an_unknown_kind__flagged() -> None:
    verdict = judge(check("cab.horn", "whatever"), TRACTOR)
    assert (verdict.outcome, codes(verdict)) == (Outcome.FLAGGED, [FlagCode.ANSWER_UNKNOWN])


# mechanic's points --------------------------------------------------------------------------------------------------


def test_drivers_word_at_a_mechanics_point__flagged_within_limits() -> None:
    verdict = judge(check(STROKE, "fine", "axle-2-right", "1.5", observer=DRIVER), TRAILER)
    assert (verdict.outcome, codes(verdict)) == (Outcome.FLAGGED, [FlagCode.NEEDS_QUALIFIED_PERSON])


def test_drivers_value_over_the_limit_at_a_mechanics_point__finding() -> None:
    verdict = judge(check(STROKE, "fine", "axle-2-right", "2.31", observer=DRIVER), TRAILER)
    assert (verdict.outcome, verdict.severity) == (Outcome.FINDING, Severity.BEFORE_NEXT_USE)


@pytest.mark.parametrize(
    ("opened", "trained", "outcome"), [(True, True, "fine"), (True, False, "flagged"), (False, True, "flagged")]
)
def test_point_opened_to_trained_drivers__only_they_may_pass_it(*, opened: bool, trained: bool, outcome: str) -> None:
    catalogue = Catalogue.of([replace(point(STROKE), for_trained_drivers=opened)])
    observer = replace(DRIVER, trained=trained)
    verdict = judge(check(STROKE, "fine", "axle-2-right", "1.5", observer=observer), TRAILER, catalogue=catalogue)
    assert verdict.outcome == outcome


def test_disc_brake__no_stroke_is_asked_and_none_is_taken() -> None:
    verdict = judge(check(STROKE, "fine", "axle-2-right", "1.5"), with_axles(TRAILER, brake_type="disc"))
    assert (verdict.outcome, codes(verdict)) == (Outcome.FLAGGED, [FlagCode.PLACE_UNKNOWN])


# corrected ----------------------------------------------------------------------------------------------------------


def test_corrected_with_what_by_whom_and_photo__no_defect() -> None:
    verdict = judge(check("lamps.trailer.turn", "corrected", "left", finding="out", correction=DONE), TRAILER)
    assert (verdict.outcome, verdict.severity, verdict.flags) == (Outcome.CORRECTED, None, ())


@pytest.mark.parametrize(
    ("correction", "missing"),
    [
        (None, "what, by, photo_hash"),
        (DONE.model_copy(update={"what": ""}), "what"),
        (DONE.model_copy(update={"by": ""}), "by"),
        (DONE.model_copy(update={"photo": ""}), "photo_hash"),
    ],
)
def test_corrected_without_its_proof__the_fault_stands(correction: CorrectionBody | None, missing: str) -> None:
    verdict = judge(check("lamps.trailer.turn", "corrected", "left", correction=correction), TRAILER)
    assert (verdict.outcome, verdict.severity) == (Outcome.FINDING, Severity.DO_NOT_MOVE)
    assert codes(verdict) == [FlagCode.CORRECTION_INCOMPLETE]
    assert verdict.flags[0].facts == {"missing": missing}


def test_corrected_where_nobody_may_on_the_spot__the_fault_stands() -> None:
    verdict = judge(check("frame.tractor.rails", "corrected", correction=DONE), TRACTOR)
    assert (verdict.outcome, codes(verdict)) == (Outcome.FINDING, [FlagCode.NOT_CORRECTABLE_ON_THE_SPOT])


def test_corrected_but_the_value_still_fails__finding() -> None:
    verdict = judge(check("suspension.slider-pins", "corrected", "", "3", correction=DONE), TRAILER)
    assert (verdict.outcome, verdict.severity) == (Outcome.FINDING, Severity.DO_NOT_MOVE)
    assert codes(verdict) == [FlagCode.CORRECTION_STILL_FAILS]


def test_corrected_and_the_value_is_good_now__corrected_with_its_value() -> None:
    verdict = judge(check("suspension.slider-pins", "corrected", "", "4", correction=DONE), TRAILER)
    assert (verdict.outcome, verdict.accepted_value) == (Outcome.CORRECTED, Decimal(4))


@pytest.mark.parametrize(("value", "code"), [("40", FlagCode.VALUE_IMPLAUSIBLE), ("", FlagCode.VALUE_MISSING)])
def test_corrected_with_a_useless_value__flagged(value: str, code: FlagCode) -> None:
    name = "suspension.slider-pins" if value else "cooling.fuel.level"
    unit = TRAILER if value else COOLING_UNIT
    verdict = judge(check(name, "corrected", "", value, correction=DONE), unit)
    assert (verdict.outcome, codes(verdict)) == (Outcome.FLAGGED, [code])


def test_corrected_a_fault_of_an_unknown_name__flagged() -> None:
    verdict = judge(check("lamps.trailer.turn", "corrected", "left", finding="odd", correction=DONE), TRAILER)
    assert (verdict.outcome, codes(verdict)) == (Outcome.FLAGGED, [FlagCode.FINDING_UNKNOWN])


# not applicable and not reached -------------------------------------------------------------------------------------


def test_not_applicable_equipment_a_unit_may_lack__taken() -> None:
    assert judge(check("body.lift-gate", "not_applicable"), TRAILER).outcome is Outcome.NOT_APPLICABLE


def test_not_applicable_where_every_unit_has_it__flagged() -> None:
    verdict = judge(check("cab.horn", "not_applicable"), TRACTOR)
    assert (verdict.outcome, codes(verdict)) == (Outcome.FLAGGED, [FlagCode.APPLIES_TO_THIS_UNIT])


@pytest.mark.parametrize(
    ("coupled", "outcome"), [(False, "not_applicable"), (None, "not_applicable"), (True, "flagged")]
)
def test_not_applicable_without_a_trailer__taken_unless_coupled(*, coupled: bool | None, outcome: str) -> None:
    conditions = replace(BY_DAY, coupled=coupled)
    assert judge(check("coupling.tug-test", "not_applicable"), TRACTOR, conditions).outcome == outcome


@pytest.mark.parametrize("answer", ["not_applicable", "not_reached"])
def test_value_within_limits_in_an_answer_that_has_none__flagged(answer: str) -> None:
    facts = check("suspension.slider-pins", answer, "", "4", reason="dark")
    verdict = judge(facts, TRAILER)
    assert (verdict.outcome, codes(verdict)) == (Outcome.FLAGGED, [FlagCode.ANSWER_CONTRADICTS_VALUE])
    assert verdict.accepted_value is None


@pytest.mark.parametrize("reason", [reason for reason in NotReached if reason not in ("sealed", "no_helper")])
def test_not_reached_with_a_reason__not_reached(reason: NotReached) -> None:
    assert judge(check("cab.horn", "not_reached", reason=reason), TRACTOR).outcome is Outcome.NOT_REACHED


@pytest.mark.parametrize(
    ("reason", "code"), [(None, "reason_missing"), ("", "reason_missing"), ("late", "reason_does_not_fit")]
)
def test_not_reached_without_a_proper_reason__flagged(reason: str | None, code: str) -> None:
    assert codes(judge(check("cab.horn", "not_reached", reason=reason), TRACTOR)) == [code]


@pytest.mark.parametrize(
    ("name", "place", "reason", "outcome"),
    [
        ("inside.cleanliness", "", "sealed", "not_reached"),
        ("doors.rear.closure", "left", "sealed", "flagged"),
        ("lamps.trailer.stop", "", "no_helper", "not_reached"),
        ("lamps.trailer.plate", "", "no_helper", "flagged"),
    ],
)
def test_reason__must_fit_the_point(name: str, place: str, reason: str, outcome: str) -> None:
    assert judge(check(name, "not_reached", place, reason=reason), TRAILER).outcome == outcome


def test_nothing_known_of_the_surroundings__no_answer_raises() -> None:
    for one in load_catalogue().points.values():
        for answer in ("fine", "defect", "corrected", "not_applicable", "not_reached"):
            unit = UnitFacts(kind=one.unit_kinds[0])
            assert judge(check(one.name, answer, "?"), unit, Conditions()).outcome in list(Outcome)
