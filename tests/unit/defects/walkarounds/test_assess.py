"""A whole report judged: what becomes of each answer, what is owed a review, and which values may stand."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from defects.enums import CheckAnswer, Outcome
from defects.rules.catalogue.catalogue import Catalogue, load_catalogue
from defects.rules.catalogue.closed_sets import UnitOfMeasure
from defects.rules.catalogue.observed import Observer
from defects.rules.catalogue.places import places_for
from defects.rules.walkarounds.assess import Assessment, assess_report, unassessed
from defects.rules.walkarounds.body import CheckBody, FaultBody
from defects.rules.walkarounds.verdicts import Circumstances
from tests.support.rule_facts import BY_DAY, DRIVER, QUALIFIED, TODAY, TRAILER, UNITS
from tests.support.submissions import answer_to, fault_told, given_check, report_on

STROKE, TREAD, LAMP, CLEAN = (
    "brakes.service.pushrod-stroke",
    "tires.trailer.tread-depth",
    "lamps.trailer.turn",
    "inside.cleanliness",
)
TIRE = "axle-1-left-outer"
PHOTO = "a" * 64


def under(*catalogues: Catalogue, observer: Observer = QUALIFIED, **more: Any) -> Circumstances:
    return Circumstances(catalogues or (load_catalogue(),), BY_DAY, TODAY, lambda _point: observer, **more)


def assess(*checks: CheckBody, circumstances: Circumstances | None = None) -> Assessment:
    return assess_report(report_on("LR-45", checks), TRAILER, circumstances or under())


def stroke(value: str, answer: str = "fine", unit_of_measure: str = "in") -> CheckBody:
    return given_check(STROKE, "axle-1-left", answer, value=value, unit_of_measure=unit_of_measure)


def flags(assessment: Assessment) -> list[tuple[int, str]]:
    return [(index, str(flag.code)) for index, flag in assessment.flags]


def without(name: str) -> Catalogue:
    """The catalogue as it would be if it had never had a point."""
    known = load_catalogue()
    return replace(known, points={key: point for key, point in known.points.items() if key != name})


def found(assessment: Assessment) -> list[int]:
    return [index for index, judged in enumerate(assessment.judged) if judged.is_finding]


def test_each_answer__judged_in_its_place() -> None:
    other = given_check(STROKE, "axle-1-right", "fine", value="1.5", unit_of_measure="in")
    assessment = assess(
        given_check(LAMP, "left", "fine"), stroke("2.6", "defect"), given_check("no.such", answer="fine"), other
    )

    assert [judged.outcome for judged in assessment.judged] == [
        Outcome.FINE,
        Outcome.FINDING,
        Outcome.FLAGGED,
        Outcome.FINE,
    ]
    assert found(assessment) == [1]
    assert flags(assessment) == [(2, "point_unknown")]
    assert [judged.accepted_value for judged in assessment.judged] == [None, Decimal("2.6"), None, Decimal("1.5")]


@pytest.mark.parametrize(
    ("checks", "faults", "owed"),
    [
        ((given_check(LAMP, "left", "fine"),), (), False),
        ((given_check(LAMP, "left"),), (), True),
        ((given_check(CLEAN),), (), False),  # the carrier's own point is recorded beside the statutory report
        ((), (fault_told("knocks"),), True),
        ((given_check("no.such"),), (), True),  # a fault that no rule can place is one for the foreman to grade
        ((given_check("no.such", "", "fine"),), (), False),
    ],
)
def test_review_due__by_a_statutory_finding_or_a_fault_in_words(
    checks: tuple[CheckBody, ...], faults: tuple[FaultBody, ...], *, owed: bool
) -> None:
    assert assess_report(report_on("LR-45", checks, faults), TRAILER, under()).review_due is owed


@pytest.mark.parametrize(
    ("check", "codes", "value"),
    [
        (stroke("2.6", "defect"), [], "2.6"),
        (stroke("two", "defect"), ["value_unreadable"], None),
        (stroke("99999999999", "defect"), ["value_implausible"], None),
        (stroke("2.6", "defect", ""), ["unit_missing"], None),
        (stroke("66", "defect", "mm"), ["unit_wrong"], None),
        (given_check(LAMP, "left", value="3"), ["value_not_asked"], None),
    ],
)
def test_defect_with_an_unusable_value__a_finding_without_it(
    check: CheckBody, codes: list[str], value: str | None
) -> None:
    (judged,) = assess(check).findings
    assert [code for _, code in flags(assess(check))] == codes
    assert judged.value == (None if value is None else Decimal(value))
    assert judged.unit_of_measure == ("" if value is None else "in")
    assert judged.accepted_value == judged.value


def test_limit_not_known__value_stands_on_the_defect_and_enters_no_series() -> None:
    unit = replace(TRAILER, axles=tuple(replace(axle, chamber_type=None) for axle in TRAILER.axles))
    assessment = assess_report(report_on("LR-45", (stroke("2.31", "defect"),)), unit, under())

    (judged,) = assessment.findings
    assert flags(assessment)[0] == (0, "limit_unknown")
    assert (judged.value, judged.unit_of_measure, judged.accepted_value) == (Decimal("2.31"), "in", None)


@pytest.mark.parametrize("value", ["two", "1e1", "1_5"])
def test_fine_with_a_value_nobody_can_read__flagged(value: str) -> None:
    assessment = assess(stroke(value))
    assert [judged.outcome for judged in assessment.judged] == [Outcome.FLAGGED]
    assert flags(assessment)[0] == (0, "value_unreadable")


def test_corrected__with_its_proof_a_correction_and_without_a_finding() -> None:
    proof = {"corrected_what": "lamp changed", "corrected_by": "Ada Brisk", "corrected_photo": PHOTO}
    whole = assess(given_check(LAMP, "left", "corrected", **proof))
    assert [judged.is_correction for judged in whole.judged] == [True]
    assert whole.findings == ()

    for missing in proof:
        lacking = assess(given_check(LAMP, "left", "corrected", **{**proof, missing: ""}))
        assert not lacking.judged[0].is_correction
        assert found(lacking) == [0]
        assert flags(lacking) == [(0, "correction_incomplete")]


def test_point_that_only_the_older_catalogue_knows__judged_by_it() -> None:
    in_force, older = without(LAMP), load_catalogue()

    alone = assess(given_check(LAMP, "left"), circumstances=under(in_force))
    both = assess(given_check(LAMP, "left"), circumstances=under(in_force, older))

    assert [judged.point for judged in alone.judged] == [None]
    assert flags(alone) == [(0, "point_unknown")]
    assert found(both) == [0]


def test_point_that_both_catalogues_know__judged_by_the_one_in_force() -> None:
    known = load_catalogue()
    ended = replace(known.points[LAMP], retired_on=date(2026, 3, 1))
    in_force = replace(known, points={**known.points, LAMP: ended})

    assessment = assess(given_check(LAMP, "left", "fine"), circumstances=under(in_force, known))

    assert flags(assessment) == [(0, "point_retired")]


def test_driver_at_a_mechanics_point__finding_counts_and_passing_does_not() -> None:
    (finding,) = assess(stroke("2.6", "defect"), circumstances=under(observer=DRIVER)).judged
    (passed,) = assess(stroke("1.5"), circumstances=under(observer=DRIVER)).judged

    assert finding.is_finding
    assert (passed.outcome, passed.accepted_value) == (Outcome.FLAGGED, None)


def test_time_not_known__findings_stand_and_nothing_else_does() -> None:
    proof = {"corrected_what": "lamp changed", "corrected_by": "Ada Brisk", "corrected_photo": PHOTO}
    assessment = assess(
        given_check(LAMP, "left", "fine"),
        stroke("2.6", "defect"),
        given_check(LAMP, "right", "corrected", **proof),
        given_check(CLEAN, answer="not_reached", reason="sealed"),
        stroke("1.5"),
        circumstances=under(time_known=False),
    )

    outcomes = [judged.outcome for judged in assessment.judged]
    assert outcomes == [Outcome.FLAGGED, Outcome.FINDING, Outcome.FLAGGED, Outcome.FLAGGED, Outcome.FLAGGED]
    assert [judged.accepted_value for judged in assessment.judged] == [None] * 5
    assert assessment.findings[0].value == Decimal("2.6")
    assert not any(judged.is_correction for judged in assessment.judged)
    assert flags(assessment) == [(4, "answered_twice")]


def test_fine_and_defect_at_one_point__the_defect_stays_and_the_fine_one_is_flagged() -> None:
    assessment = assess(
        given_check(LAMP, "left", "fine"), given_check(LAMP, "left"), given_check(LAMP, "right", "fine")
    )

    outcomes = [judged.outcome for judged in assessment.judged]
    assert outcomes == [Outcome.FLAGGED, Outcome.FINDING, Outcome.FINE]
    assert flags(assessment) == [(0, "answered_twice")]


def test_unit_nobody_knows__every_answer_kept_and_none_fine() -> None:
    report = report_on("ZZ-9", (given_check(LAMP, "left", "fine"), stroke("2.6")), (fault_told("knocks"),))

    assessment = unassessed(report)

    assert [judged.check for judged in assessment.judged] == list(report.checks)
    assert {judged.outcome for judged in assessment.judged} == {Outcome.FLAGGED}
    assert {judged.rule_id for judged in assessment.judged} == {"judge#unit_unknown"}
    assert [judged.accepted_value for judged in assessment.judged] == [None, None]
    assert assessment.faults == tuple(report.faults)


POINTS = load_catalogue().points
ANY_PLACE = sorted({place for unit in UNITS.values() for p in POINTS.values() for place in places_for(p, unit)})
texts = st.text(max_size=8)
any_check = st.builds(
    answer_to,
    point=st.sampled_from(sorted(POINTS)) | texts,
    answer=st.sampled_from([str(answer) for answer in CheckAnswer]) | texts,
    place=st.sampled_from(ANY_PLACE) | texts,
    value=st.just("") | st.decimals(-(10**6), 10**6, places=2).map(str) | texts,
    unit_of_measure=st.just("") | st.sampled_from([str(unit) for unit in UnitOfMeasure]) | texts,
    finding=st.just("") | texts,
    reason=st.sampled_from(["", "sealed", "dark"]) | texts,
    corrected_what=st.just("") | texts,
    corrected_by=st.just("") | texts,
    corrected_photo=st.sampled_from(["", PHOTO]) | texts,
)


@settings(max_examples=100, deadline=None)
@given(st.sampled_from(sorted(UNITS)), st.lists(any_check, max_size=6), st.booleans(), st.booleans())
def test_any_report__never_raises_and_no_reported_defect_ever_passes(
    kind: str, checks: list[CheckBody], by_driver: bool, time_known: bool
) -> None:
    circumstances = under(observer=DRIVER if by_driver else QUALIFIED, time_known=time_known)
    assessment = assess_report(report_on("X", tuple(checks)), UNITS[kind], circumstances)

    assert [judged.check for judged in assessment.judged] == checks
    for judged in assessment.judged:
        if judged.check.answer == "defect":
            assert judged.outcome in {Outcome.FINDING, Outcome.FLAGGED}
        if judged.is_finding:
            assert judged.severity is not None
        if judged.value is not None:
            assert judged.point is not None
            assert judged.point.measure is not None
            assert judged.point.measure.minimum <= judged.value <= judged.point.measure.maximum
        if judged.accepted_value is not None:
            assert judged.accepted_value == judged.check.number
            assert time_known
            assert judged.outcome is not Outcome.FLAGGED
