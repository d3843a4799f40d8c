"""Windshield damage, hood and seats.

Source: 49 CFR 393.60(c), text read: no damage "in the area extending upward from the height of the top of the
steering wheel (excluding a 51 mm (2 inch) border at the top of the windshield) and extending from a 25 mm (1 inch)
border at each side", except a crack that no other intersects and "any damaged area which can be covered by a disc 19
mm (3/4 inch) in diameter if not closer than 76 mm (3 inches) to any other similarly damaged area". Part 396 Appendix
A 12, text read in the edition of 2015: a crack not over 1/4 in wide. 393.203(c) and (d), text read: the hood
"securely fastened", seats "securely mounted". That such damage ends before the next use is our reading; no text
grades it.
"""

import pytest

from tests.support.rule_facts import TRACTOR, check, judge, point

WINDSHIELD = "cab.windshield"


@pytest.mark.parametrize(
    ("value", "severity"), [("0.75", None), ("0.751", "before_next_use"), ("4", "before_next_use")]
)
def test_damaged_spot__over_three_quarters_of_an_inch_before_next_use(value: str, severity: str | None) -> None:
    verdict = judge(check(WINDSHIELD, "fine", "", value), TRACTOR)
    assert verdict.outcome == ("fine" if severity is None else "finding")
    assert (verdict.severity, str(verdict.source)) == (severity, "49 CFR 393.60(c)")


@pytest.mark.parametrize(
    ("finding", "source"),
    [
        ("spots_close_together", "49 CFR 393.60(c)(3)"),
        ("wide_crack", "49 CFR Part 396 App. A, 12"),
        ("in_drivers_view", "49 CFR 393.60(c)"),
    ],
)
def test_fault_in_the_area__before_next_use(finding: str, source: str) -> None:
    verdict = judge(check(WINDSHIELD, "defect", finding=finding), TRACTOR)
    assert (verdict.severity, verdict.finding, str(verdict.source)) == ("before_next_use", finding, source)


@pytest.mark.parametrize(("language", "inch"), [("en", "in"), ("es", "pulg")])
def test_what_is_asked__names_the_area_the_distance_and_the_width(language: str, inch: str) -> None:
    asked = point(WINDSHIELD).text[language].ask  # type: ignore[index]
    said = " ".join([asked, *(finding.text[language] for finding in point(WINDSHIELD).findings)])  # type: ignore[index]
    for figure in (f"2 {inch}", f"1 {inch}", f"3 {inch}", f"1/4 {inch}"):
        assert figure in said


@pytest.mark.parametrize(
    ("name", "place", "finding", "source"),
    [
        ("cab.hood-and-latches", "left", "not_latched", "49 CFR 393.203(c)"),
        ("cab.seat-and-belt", "driver", "seat_loose", "49 CFR 393.203(d)"),
    ],
)
def test_hood_and_seat__each_rests_on_its_own_paragraph(name: str, place: str, finding: str, source: str) -> None:
    assert str(judge(check(name, "defect", place, finding=finding), TRACTOR).source) == source
