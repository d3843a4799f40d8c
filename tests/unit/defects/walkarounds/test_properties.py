"""Over the whole catalogue: a worse value, a worse finding or less knowledge never gives a milder verdict."""

from dataclasses import replace
from decimal import Decimal

from hypothesis import given, settings
from hypothesis import strategies as st

from defects.enums import Bars, CheckAnswer, Outcome, Severity, rank
from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.closed_sets import FailsWhen
from defects.rules.catalogue.observed import AxleFacts, Conditions, UnitFacts
from defects.rules.catalogue.places import places_for
from defects.rules.catalogue.points import Point
from defects.rules.walkarounds.verdicts import Verdict
from tests.support.rule_facts import UNITS, check, judge

POINTS = list(load_catalogue().points.values())
UPWARDS = {FailsWhen.ABOVE, FailsWhen.AT_OR_ABOVE}
ONE_WAY = [
    point
    for point in POINTS
    if point.limits
    and len({limit.fails_when in UPWARDS for limit in point.limits}) == 1
    and all(limit.fails_when is not FailsWhen.OUTSIDE for limit in point.limits)
]
maybe = st.sampled_from([None, True, False])
conditions = st.builds(
    Conditions,
    night=maybe,
    raining=maybe,
    loaded=maybe,
    cold_load=maybe,
    coupled=maybe,
    walk_kind=st.sampled_from([None, "pre_trip", "drop"]),
    fuel_needed_gal=st.sampled_from([None, Decimal(10), Decimal(40)]),
)


def how_bad(verdict: Verdict) -> int:
    """Fine 0, flagged 1, findings from 2 by severity."""
    if verdict.outcome is Outcome.FINDING:
        assert verdict.severity is not None
        return 2 + rank(verdict.severity)
    return 1 if verdict.outcome is Outcome.FLAGGED else 0


@st.composite
def units(draw: st.DrawFn, kind: str) -> UnitFacts:
    """A unit of a kind with any of its facts recorded or not; never one without axles, which has no places."""
    plain = UNITS[kind]
    axles: list[AxleFacts] = [
        replace(
            axle,
            brake_type=draw(st.sampled_from([None, "drum", "disc"])),
            drum_limit_in=draw(st.sampled_from([None, Decimal("16.62")])),
            rotor_limit_in=draw(st.sampled_from([None, Decimal("1.46")])),
            chamber_type=draw(st.sampled_from([None, "6", "24", "30", "36"])),
            stroke_class=draw(st.sampled_from([None, "standard", "long", "long_3_in"])),
            lining=draw(st.sampled_from([None, "one_strip", "two_pads"])),
            target_psi=draw(st.sampled_from([None, Decimal(100)])),
            max_psi=draw(st.sampled_from([None, Decimal(130)])),
        )
        for axle in plain.axles
    ]
    return replace(
        plain,
        axles=tuple(axles),
        steering_wheel_diameter_in=draw(st.sampled_from([None, Decimal(16), Decimal(17), Decimal(20), Decimal(25)])),
        steering_assist=draw(st.sampled_from([None, "power", "manual"])),
        tank_gal=draw(st.sampled_from([None, Decimal(50)])),
        slider_pins=draw(st.sampled_from([None, Decimal(4)])),
        built_on=None,
        model_year=draw(st.sampled_from([None, 1990, 1998, 2020])),
    )


@st.composite
def asked(draw: st.DrawFn, points: list[Point]) -> tuple[Point, UnitFacts, str, Conditions]:
    point = draw(st.sampled_from(points))
    unit = draw(units(str(draw(st.sampled_from(point.unit_kinds)))))
    place = draw(st.sampled_from(places_for(point, unit) or ("",)))
    return point, unit, place, draw(conditions)


def values(point: Point) -> st.SearchStrategy[Decimal]:
    assert point.measure is not None
    figures = [limit.value for limit in point.limits if limit.value is not None]
    near = [figure + step for figure in figures for step in (Decimal("-0.0001"), Decimal(0), Decimal("0.0001"))]
    plain = st.decimals(point.measure.minimum, point.measure.maximum, places=4)
    within = [value for value in near if point.measure.minimum <= value <= point.measure.maximum]
    return plain | st.sampled_from(within) if within else plain


@settings(max_examples=120, deadline=None)
@given(st.data(), asked(ONE_WAY), st.sampled_from(list(CheckAnswer)))
def test_worse_value__never_a_milder_verdict(
    data: st.DataObject, case: tuple[Point, UnitFacts, str, Conditions], answer: CheckAnswer
) -> None:
    point, unit, place, surroundings = case
    better, worse = sorted((data.draw(values(point)), data.draw(values(point))))
    if point.limits[0].fails_when not in UPWARDS:
        better, worse = worse, better
    of_better = judge(check(point.name, answer, place, str(better)), unit, surroundings)
    of_worse = judge(check(point.name, answer, place, str(worse)), unit, surroundings)
    if answer is CheckAnswer.DEFECT:
        # unnamed, a failed limit says what was meant, and any other value leaves the default grade, which may be worse
        assert how_bad(of_better) >= 2
        assert how_bad(of_worse) >= 2
        return
    assert how_bad(of_worse) >= how_bad(of_better)


@settings(max_examples=80, deadline=None)
@given(st.data(), asked(ONE_WAY))
def test_worse_value_of_a_named_defect__never_a_milder_verdict(
    data: st.DataObject, case: tuple[Point, UnitFacts, str, Conditions]
) -> None:
    point, unit, place, surroundings = case
    code = data.draw(st.sampled_from([finding.code for finding in point.findings]))
    better, worse = sorted((data.draw(values(point)), data.draw(values(point))))
    if point.limits[0].fails_when not in UPWARDS:
        better, worse = worse, better
    grades = [
        how_bad(judge(check(point.name, "defect", place, str(value), finding=code), unit, surroundings))
        for value in (better, worse)
    ]
    assert grades == sorted(grades)


@settings(max_examples=100, deadline=None)
@given(st.data(), asked(POINTS))
def test_defect__always_a_finding_at_least_as_bad_as_what_was_named(
    data: st.DataObject, case: tuple[Point, UnitFacts, str, Conditions]
) -> None:
    point, unit, place, surroundings = case
    finding = data.draw(st.sampled_from(point.findings))
    verdict = judge(check(point.name, "defect", place, finding=finding.code), unit, surroundings)
    if places_for(point, unit):
        assert verdict.outcome is Outcome.FINDING
    assert verdict.severity is not None
    assert rank(verdict.severity) >= rank(finding.severity)


@settings(max_examples=100, deadline=None)
@given(asked(POINTS), st.sampled_from(list(CheckAnswer)))
def test_nothing_known__never_milder_than_the_same_defect_with_everything_known(
    case: tuple[Point, UnitFacts, str, Conditions], answer: CheckAnswer
) -> None:
    point, unit, place, surroundings = case
    knowing = judge(check(point.name, answer, place), unit, surroundings)
    guessing = judge(check(point.name, answer, place), unit, Conditions())
    if knowing.outcome is Outcome.FINDING:
        assert how_bad(guessing) >= how_bad(knowing)


@settings(max_examples=100, deadline=None)
@given(st.data(), asked([point for point in POINTS if point.measure is not None]), st.sampled_from(list(CheckAnswer)))
def test_fine__only_with_no_query_no_severity_and_every_limit_kept(
    data: st.DataObject, case: tuple[Point, UnitFacts, str, Conditions], answer: CheckAnswer
) -> None:
    point, unit, place, surroundings = case
    verdict = judge(check(point.name, answer, place, str(data.draw(values(point)))), unit, surroundings)
    if verdict.outcome is Outcome.FINDING:
        assert verdict.source is not None
        assert verdict.rule_id.startswith(f"{point.name}#")
        assert (verdict.bars is Bars.MOVEMENT) == (verdict.severity in (Severity.BEFORE_NEXT_USE, Severity.DO_NOT_MOVE))
    else:
        assert verdict.severity is None or not places_for(point, unit), (
            "a fault at no place of the unit keeps its grade"
        )
        assert bool(verdict.flags) is (verdict.outcome is Outcome.FLAGGED)
        assert (verdict.accepted_value is not None) <= (verdict.outcome in (Outcome.FINE, Outcome.CORRECTED))
