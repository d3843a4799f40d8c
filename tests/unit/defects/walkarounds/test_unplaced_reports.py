"""A fault reported at a point or place that the unit has not: flagged, and left to the foreman, never dropped."""

import pytest

from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.observed import Observer
from defects.rules.walkarounds.assess import assess_report
from defects.rules.walkarounds.body import CheckBody, FaultBody
from defects.rules.walkarounds.verdicts import Circumstances
from tests.support.rule_facts import BY_DAY, TODAY, TRAILER
from tests.support.submissions import answer_to, fault_told, report_on

TIRE = "tires.trailer.body"


def faults_of(*checks: CheckBody) -> tuple[FaultBody, ...]:
    under = Circumstances((load_catalogue(),), BY_DAY, TODAY, lambda _: Observer())
    return assess_report(report_on("LR-46", checks), TRAILER, under).faults


def test_defect_at_an_unknown_place__reaches_the_foreman_with_note_and_photos() -> None:
    check = answer_to(TIRE, "defect", "axle-7-left-outer", note="flat", photos=("a" * 64,))
    assert faults_of(check) == (fault_told("Trailer tire, axle 7 left outer: flat", photos=("a" * 64,)),)


def test_condition_at_an_unknown_place__is_reported_as_found() -> None:
    check = answer_to("brakes.parking.hold", "defect", "left", finding="moves", note="on the ramp")
    assert faults_of(check) == (fault_told("Parking brake, left: the vehicle moves. on the ramp"),)


def test_defect_at_a_point_nobody_knows__told_under_the_name_given() -> None:
    assert faults_of(answer_to("no.such", "defect", note="wobbles")) == (fault_told("no.such: wobbles"),)


@pytest.mark.parametrize(
    ("check", "words"),
    [
        (
            answer_to(TIRE, "broken", "axle-1-left-outer", note="bulge"),
            "Trailer tire, axle 1 left outer: broken. bulge",
        ),
        (answer_to("no.such", "broken"), "no.such: broken"),
        (answer_to(TIRE, "", "axle-1-left-outer", note="bulge"), "Trailer tire, axle 1 left outer: bulge"),
        (answer_to("", "defect"), "…"),
    ],
)
def test_answer_that_is_none__told_in_the_words_that_came(check: CheckBody, words: str) -> None:
    assert [fault.text for fault in faults_of(check)] == [words]


def test_value_past_its_limit_at_an_unknown_place__is_reported() -> None:
    check = answer_to("tires.trailer.tread-depth", "fine", "axle-7-left-outer", value="0", unit_of_measure="32nds")
    assert [fault.text for fault in faults_of(check)] == ["Trailer tire tread, axle 7 left outer: 0 32nds"]


@pytest.mark.parametrize(
    "check",
    [
        answer_to("no.such", "fine"),
        answer_to(TIRE, "fine", "axle-7-left-outer"),
        answer_to(TIRE, "not_reached", "axle-7-left-outer", reason="dark"),
        answer_to(TIRE, "defect", "axle-1-left-outer"),
        answer_to(TIRE, "", "axle-1-left-outer"),
    ],
)
def test_nothing_reported_or_a_finding_of_its_own__no_fault_beside_it(check: CheckBody) -> None:
    assert faults_of(check) == ()
