"""Pushrod stroke limits of brake chambers: clamp, bolt, rotochamber, DD-3, and any other by what is marked on it.

Source: 49 CFR 393.47(e), table for clamp-type chambers, text read as amended by 86 FR 57076 of 14 October 2021 (which
changed type 36 from 2-1/4 to 2-1/2 in); the older figure for type 36 from the text before it. Stroke "must not be
greater than" the value, so a stroke at the value passes. Figures are typed from there, in inches. Part 396 Appendix A
1.a(5)(a), text read: "Stroke must be measured with engine off and reservoir pressure of 80 to 90 psi". For actuators in
none of the tables 393.47(e)(2), text read: not "greater than 80 percent of the rated stroke marked on the actuator by
the actuator manufacturer, or greater than the readjustment limit marked on the actuator".
"""

from datetime import date
from decimal import Decimal

import pytest

from tests.support.rule_facts import TRACTOR, TRAILER, check, codes, judge, point, with_axles

TABLE = [
    ("6", "standard", "1.25"),  # 1-1/4
    ("9", "standard", "1.375"),  # 1-3/8
    ("12", "standard", "1.375"),  # 1-3/8
    ("12", "long", "1.75"),  # 1-3/4
    ("16", "standard", "1.75"),  # 1-3/4
    ("16", "long", "2"),
    ("20", "standard", "1.75"),  # 1-3/4
    ("20", "long", "2"),
    ("20", "long_3_in", "2.5"),  # 2-1/2 where the rated stroke is 3 in
    ("24", "standard", "1.75"),  # 1-3/4
    ("24", "long", "2"),
    ("24", "long_3_in", "2.5"),  # 2-1/2 where the rated stroke is 3 in
    ("30", "standard", "2"),
    ("30", "long", "2.5"),  # 2-1/2
    ("36", "standard", "2.5"),  # 2-1/2
]
AROUND = [("-0.0001", "fine"), ("0", "fine"), ("0.0001", "finding")]
NOT_IN_THE_TABLE = [
    ("6", "long"),
    ("9", "long"),
    ("12", "long_3_in"),
    ("16", "long_3_in"),
    ("30", "long_3_in"),
    ("36", "long"),
]
POINT = "brakes.service.pushrod-stroke"


@pytest.mark.parametrize(("offset", "outcome"), AROUND)
@pytest.mark.parametrize(("chamber", "stroke_class", "limit"), TABLE)
def test_trailer_brake__judged_by_the_table(
    chamber: str, stroke_class: str, limit: str, offset: str, outcome: str
) -> None:
    unit = with_axles(TRAILER, chamber_type=chamber, stroke_class=stroke_class)
    value = str(Decimal(limit) + Decimal(offset))
    verdict = judge(check(POINT, "fine", "axle-1-left", value), unit, on=date(2026, 3, 6))
    assert verdict.outcome == outcome
    assert verdict.limit_value == Decimal(limit)
    assert verdict.severity == ("before_next_use" if outcome == "finding" else None)
    assert verdict.counts_as_service_brake is (outcome == "finding")


@pytest.mark.parametrize(("chamber", "stroke_class", "limit"), TABLE)
def test_steering_axle__same_figures_and_do_not_move(chamber: str, stroke_class: str, limit: str) -> None:
    unit = with_axles(TRACTOR, chamber_type=chamber, stroke_class=stroke_class)
    over = judge(check(POINT, "fine", "axle-1-right", str(Decimal(limit) + Decimal("0.0001"))), unit)
    at = judge(check(POINT, "fine", "axle-1-right", limit), unit)
    assert (over.outcome, over.severity, over.on_steering_axle) == ("finding", "do_not_move", True)
    assert at.outcome == "fine"


@pytest.mark.parametrize(
    ("on", "value", "outcome"),
    [
        (date(2021, 10, 13), "2.25", "fine"),
        (date(2021, 10, 13), "2.2501", "finding"),
        (date(2021, 10, 13), "2.5", "finding"),
        (date(2021, 10, 14), "2.2501", "fine"),
        (date(2021, 10, 14), "2.5", "fine"),
        (date(2021, 10, 14), "2.5001", "finding"),
    ],
)
def test_type_36__two_and_a_quarter_until_13_october_2021_then_two_and_a_half(
    on: date, value: str, outcome: str
) -> None:
    unit = with_axles(TRAILER, chamber_type="36", stroke_class="standard")
    assert judge(check(POINT, "fine", "axle-1-left", value), unit, on=on).outcome == outcome


@pytest.mark.parametrize(("chamber", "stroke_class"), NOT_IN_THE_TABLE)
def test_chamber_and_class_the_table_has_not__flagged_never_fine(chamber: str, stroke_class: str) -> None:
    unit = with_axles(TRAILER, chamber_type=chamber, stroke_class=stroke_class)
    verdict = judge(check(POINT, "fine", "axle-1-left", "1.0"), unit)
    assert (verdict.outcome, codes(verdict)) == ("flagged", ["limit_unknown"])


def test_published_example__type_24_long_stroke_at_2_31_over_its_2_inches() -> None:
    """A type 24 long-stroke chamber (rated 2-1/2 in) may travel 2 in."""
    verdict = judge(check(POINT, "fine", "axle-2-right", "2.31"), TRAILER)
    assert (verdict.outcome, verdict.limit_value) == ("finding", Decimal(2))


def test_measuring__engine_off_and_80_to_90_psi_in_the_reservoir() -> None:
    asked = {str(precondition) for precondition in point(POINT).preconditions}
    assert asked >= {"engine_off", "air_80_to_90_psi"}
    assert not {name for name in asked if "100_psi" in name}


OTHER_TABLES = [
    ("bolt", "A", "1.375"),  # 1-3/8
    ("bolt", "B", "1.75"),  # 1-3/4
    ("bolt", "C", "1.75"),  # 1-3/4
    ("bolt", "D", "1.25"),  # 1-1/4
    ("bolt", "E", "1.375"),  # 1-3/8
    ("bolt", "F", "2.25"),  # 2-1/4
    ("bolt", "G", "2"),
    ("rotochamber", "9", "1.5"),  # 1-1/2
    ("rotochamber", "12", "1.5"),  # 1-1/2
    ("rotochamber", "16", "2"),
    ("rotochamber", "20", "2"),
    ("rotochamber", "24", "2"),
    ("rotochamber", "30", "2.25"),  # 2-1/4
    ("rotochamber", "36", "2.75"),  # 2-3/4
    ("rotochamber", "50", "3"),
    ("dd_3", "30", "2.25"),  # 2-1/4
]


@pytest.mark.parametrize(("offset", "outcome"), AROUND)
@pytest.mark.parametrize(("actuator", "chamber", "limit"), OTHER_TABLES)
def test_bolt_rotochamber_and_dd_3__judged_by_their_own_tables(
    actuator: str, chamber: str, limit: str, offset: str, outcome: str
) -> None:
    value = str(Decimal(limit) + Decimal(offset))
    for whole, place, severity in (
        (TRAILER, "axle-1-left", "before_next_use"),
        (TRACTOR, "axle-1-left", "do_not_move"),
    ):
        unit = with_axles(whole, actuator=actuator, chamber_type=chamber, stroke_class=None)
        verdict = judge(check(POINT, "fine", place, value), unit)
        assert (verdict.outcome, verdict.limit_value) == (outcome, Decimal(limit))
        assert verdict.severity == (severity if outcome == "finding" else None)
        assert verdict.counts_as_service_brake is (outcome == "finding")


@pytest.mark.parametrize(
    ("rated", "marked", "value", "outcome", "limit"),
    [
        ("2.5", None, "2", "fine", "2"),  # 80 % of 2-1/2
        ("2.5", None, "2.0001", "finding", "2"),
        ("2.625", None, "2.1", "fine", "2.1"),
        ("2.625", None, "2.1001", "finding", "2.1"),
        (None, "1.875", "1.875", "fine", "1.875"),
        (None, "1.875", "1.8751", "finding", "1.875"),
        ("2.5", "1.875", "1.9", "finding", "1.875"),  # both marked: neither may be passed
        ("2.5", "2.25", "2.1", "finding", "2"),
    ],
)
def test_any_other_actuator__by_what_is_marked_on_it(
    rated: str | None, marked: str | None, value: str, outcome: str, limit: str
) -> None:
    unit = with_axles(
        TRAILER,
        actuator="other",
        chamber_type=None,
        stroke_class=None,
        rated_stroke_in=None if rated is None else Decimal(rated),
        marked_limit_in=None if marked is None else Decimal(marked),
    )
    verdict = judge(check(POINT, "fine", "axle-1-left", value), unit)
    assert (verdict.outcome, verdict.limit_value) == (outcome, Decimal(limit))


def test_another_actuator_with_nothing_marked_recorded__flagged_never_fine() -> None:
    unit = with_axles(TRAILER, actuator="other", chamber_type=None, stroke_class=None)
    verdict = judge(check(POINT, "fine", "axle-1-left", "1.0"), unit)
    assert (verdict.outcome, codes(verdict)) == ("flagged", ["limit_unknown"])
