"""Air brake tests from the cab.

Sources, texts read: 49 CFR 570.57(a)(5),(6): loss in one minute, single vehicle 2 psi released and 3 applied,
combination 3 and 4, "not more than", as the commercial licence manual teaches; 570.57(a)(2): 85 to 100 psi within 45 s;
570.57(a)(4): cut-in not below 80, cut-out not above 135 psi, "unless other values are recommended by the vehicle
manufacturer"; 393.51(c) and Part 396 Appendix A 1.f: warning at 55 psi;
570.57(a)(3) and 571.121 S5.1.5: not less than 60 psi; 393.43(a),(b): supply valve between 20 and 45 psi, both pass.
The watch limits of the governor are our own: cut-in under 100 psi (571.121 S5.1.1.1, text read, wants new vehicles at
100 psi or greater), cut-out under 115 psi (about 85 % of the highest).
"""

from dataclasses import replace
from decimal import Decimal

import pytest

from tests.support.rule_facts import BY_DAY, TRACTOR, check, judge, point

CASES = [
    ("air.leak.released-alone", "1.9", None),
    ("air.leak.released-alone", "2", None),
    ("air.leak.released-alone", "2.1", "before_next_use"),
    ("air.leak.applied-alone", "2.9", None),
    ("air.leak.applied-alone", "3", None),
    ("air.leak.applied-alone", "3.1", "before_next_use"),
    ("air.leak.released-coupled", "2.9", None),
    ("air.leak.released-coupled", "3", None),
    ("air.leak.released-coupled", "3.1", "before_next_use"),
    ("air.leak.applied-coupled", "3.9", None),
    ("air.leak.applied-coupled", "4", None),
    ("air.leak.applied-coupled", "4.1", "before_next_use"),
    ("air.build-up-time", "44", None),
    ("air.build-up-time", "45", None),
    ("air.build-up-time", "46", "before_next_use"),
    ("air.governor.cut-in", "79", "next_shop_visit"),
    ("air.governor.cut-in", "80", "watch"),
    ("air.governor.cut-in", "100", None),
    ("air.governor.cut-out", "135", None),
    ("air.governor.cut-out", "136", "next_shop_visit"),
    ("air.governor.cut-out", "114", "watch"),
    ("air.low-pressure-warning", "54", "do_not_move"),
    ("air.low-pressure-warning", "55", "before_next_use"),
    ("air.low-pressure-warning", "56", "before_next_use"),
    ("air.low-pressure-warning", "59", "before_next_use"),
    ("air.low-pressure-warning", "60", None),
    ("air.low-pressure-warning", "61", None),
    ("air.trailer-supply-valve", "19", "do_not_move"),
    ("air.trailer-supply-valve", "20", None),
    ("air.trailer-supply-valve", "21", None),
    ("air.trailer-supply-valve", "44", None),
    ("air.trailer-supply-valve", "45", None),
    ("air.trailer-supply-valve", "46", "do_not_move"),
]


@pytest.mark.parametrize(("name", "value", "severity"), CASES)
def test_air_test__just_under_at_and_just_over(name: str, value: str, severity: str | None) -> None:
    conditions = replace(BY_DAY, coupled=point(name).applies_when.get("coupled") != (False,))
    verdict = judge(check(name, "fine", "", value), TRACTOR, conditions)
    assert verdict.outcome == ("fine" if severity is None else "finding")
    assert verdict.severity == severity


def test_build_up__timed_with_the_trailer_uncoupled_at_the_makers_speed() -> None:
    """570.57(a), inspection procedure: "with the trailer(s) uncoupled", at the "manufacturer's recommended" speed."""
    build_up = point("air.build-up-time")
    assert "uncoupled" in build_up.preconditions
    assert build_up.applies_when["coupled"] == (False,)
    assert "uncoupled" in build_up.text["en"].ask  # type: ignore[index]
    assert "maker" in build_up.text["en"].ask  # type: ignore[index]


@pytest.mark.parametrize(
    ("name", "value", "severity", "limit"),
    [
        ("air.governor.cut-in", "69", "next_shop_visit", "70"),
        ("air.governor.cut-in", "70", None, "70"),
        ("air.governor.cut-out", "145", None, "145"),
        ("air.governor.cut-out", "146", "next_shop_visit", "145"),
    ],
)
def test_governor__the_makers_recorded_values_go_first(name: str, value: str, severity: str | None, limit: str) -> None:
    tractor = replace(TRACTOR, governor_cut_in_psi=Decimal(70), governor_cut_out_psi=Decimal(145))
    verdict = judge(check(name, "fine", "", value), tractor)
    assert (verdict.severity, verdict.limit_value) == (severity, Decimal(limit))
