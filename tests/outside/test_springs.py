"""A broken leaf of a spring, and the rest of what holds an axle.

Source: 49 CFR 393.207(a), (c) and (f) and Part 396 Appendix A 8 (read as Appendix G of 2015): "No leaf spring shall
be cracked, broken, or missing nor shifted out of position" (393.207(c)): any such leaf rejects, and a main leaf by
itself. How grave one leaf other than the main one is, is common practice without a source: before next use on a
tractor, do not move on a trailer; the regulation alone bars the next use.
"""

import pytest

from tests.support.rule_facts import TRACTOR, TRAILER, check, judge, point

POINT = "suspension.springs-and-bags"
GRAVE = ["main_leaf", "axle_shifted", "bag_flat", "leaf_touches"]


@pytest.mark.parametrize("finding", GRAVE)
@pytest.mark.parametrize(("unit", "place"), [(TRACTOR, "axle-1-left"), (TRAILER, "axle-2-right")])
def test_broken_or_flat__do_not_move(unit: object, place: str, finding: str) -> None:
    assert judge(check(POINT, "defect", place, finding=finding), unit).severity == "do_not_move"  # type: ignore[arg-type]


@pytest.mark.parametrize("finding", ["leaf_other", None])
@pytest.mark.parametrize(
    ("unit", "place", "severity"),
    [
        (TRACTOR, "axle-1-left", "before_next_use"),
        (TRACTOR, "axle-2-right", "before_next_use"),
        (TRAILER, "axle-1-left", "do_not_move"),
    ],
)
def test_one_leaf_other_than_the_main_one__graver_on_a_trailer(
    unit: object, place: str, severity: str, finding: str | None
) -> None:
    verdict = judge(check(POINT, "defect", place, finding=finding), unit)  # type: ignore[arg-type]
    assert (verdict.severity, verdict.bars, verdict.regulation_severity) == (severity, "movement", "before_next_use")


def test_cracked_leaf__counts_as_a_broken_one_in_both_languages() -> None:
    said = {finding.code: finding.text for finding in point(POINT).findings}
    for code in ("leaf_other", "main_leaf"):
        assert "cracked" in said[code]["en"]  # type: ignore[index]
        assert "agrietada" in said[code]["es"]  # type: ignore[index]
    assert "cracked" in point(POINT).text["en"].ask  # type: ignore[index]
