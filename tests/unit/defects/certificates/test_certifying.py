"""What proves a repair, who may certify brakes, and how far a finding may be lowered without one."""

from itertools import product

import pytest

from defects.enums import Evidence, Severity
from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.observed import Observer
from defects.rules.catalogue.points import Finding, Limit
from defects.rules.certificates import (
    GradedFinding,
    brake_scopes,
    evidence_for,
    may_be_dismissed,
    may_be_graded,
    system_of,
    word_counts,
)

SEVERITIES = ("watch", "next_shop_visit", "before_next_use", "do_not_move")


@pytest.mark.parametrize(
    ("point", "evidence"),
    [
        ("brakes.service.pushrod-stroke", "measurement"),
        ("brakes.hub-seal", "photo"),
        ("lamps.trailer.turn", "photo"),
        ("lamps.trailer.plate", "statement"),
        ("brakes.parking.hold", "repeated_test"),
        (None, "photo"),
    ],
)
def test_evidence__as_the_point_says_and_a_photo_for_free_text(point: str | None, evidence: str) -> None:
    assert evidence_for(None if point is None else load_catalogue().points[point], grave=False) == evidence


def test_do_not_move__is_never_ended_by_words_alone_however_it_came_to_be_so() -> None:
    for point in load_catalogue().points.values():
        rules: list[Finding | Limit] = [*point.findings, *point.limits]
        grades = {rule.severity for rule in rules} | {step.severity for rule in rules for step in rule.raised}
        assert Severity.DO_NOT_MOVE not in grades or point.evidence is not Evidence.STATEMENT, point.name
        # However it came to be grave: tightened by the carrier, or regraded.
        assert evidence_for(point, grave=True) is not Evidence.STATEMENT, point.name


@pytest.mark.parametrize(
    ("point", "roles", "qualified", "counts"),
    [
        ("brakes.parking.hold", {"driver"}, False, True),
        ("brakes.parking.hold", {"dispatch"}, True, False),
        ("brakes.service.pushrod-stroke", {"driver"}, False, False),
        ("brakes.service.pushrod-stroke", {"mechanic"}, True, True),
        (None, {"foreman"}, False, True),
    ],
)
def test_word__counts_as_on_a_walk_around(point: str | None, roles: set[str], qualified: bool, counts: bool) -> None:
    observer = Observer(frozenset(roles), qualified=qualified)
    assert word_counts(None if point is None else load_catalogue().points[point], observer) is counts


@pytest.mark.parametrize(
    ("point", "counts", "needed"),
    [
        ("brakes.service.lining", False, True),
        ("air.couplings-and-seals", False, True),
        ("wheels.nuts-and-rims", False, False),
        ("wheels.nuts-and-rims", True, True),
        (None, False, False),
        (None, True, True),
    ],
)
def test_brake_work__brakes_air_supply_and_whatever_counts_as_a_brake(
    point: str | None, counts: bool, needed: bool
) -> None:
    system = system_of(None if point is None else load_catalogue().points[point], "")
    assert brake_scopes(system, counts_as_service_brake=counts) == (
        {"brakes_repair", "brakes_adjust"} if needed else frozenset()
    )


@pytest.mark.parametrize(
    ("source", "of_brakes"),
    [
        ("393.40; 49 CFR 396.9(c)(2), (d)(2)", True),
        ("49 CFR 393.47(e)", True),
        ("393.55", True),
        ("393.45B2", True),
        ("393.39", False),
        ("393.56", False),
        ("393.9", False),
        ("393.430", False),
        ("", False),
    ],
)
def test_fault_without_a_point__of_the_brakes_by_the_officers_section(source: str, of_brakes: bool) -> None:
    assert (system_of(None, source) == "brakes") is of_brakes
    assert system_of(load_catalogue().points["wheels.nuts-and-rims"], source) != "brakes"


@pytest.mark.parametrize("within", [False, True])
@pytest.mark.parametrize("regulation", ["", *SEVERITIES])
def test_do_not_move__is_never_dismissed(regulation: str, within: bool) -> None:
    assert not may_be_dismissed(GradedFinding("do_not_move", "movement", regulation), measured_within=within)


@pytest.mark.parametrize(
    ("severity", "bars", "regulation", "within", "allowed"),
    [
        ("next_shop_visit", "nothing", "", False, True),
        ("next_shop_visit", "nothing", "next_shop_visit", False, True),
        ("before_next_use", "movement", "", False, True),
        ("before_next_use", "movement", "before_next_use", False, False),
        ("before_next_use", "movement", "before_next_use", True, True),
        ("before_next_use", "movement", "do_not_move", False, False),
        ("watch", "nothing", "before_next_use", False, False),
        ("next_shop_visit", "cold_freight", "", False, True),
        ("next_shop_visit", "cold_freight", "next_shop_visit", False, False),
        ("next_shop_visit", "cold_freight", "next_shop_visit", True, True),
    ],
)
def test_dismissal__past_a_regulation_only_with_a_new_measurement(
    severity: str, bars: str, regulation: str, within: bool, allowed: bool
) -> None:
    assert may_be_dismissed(GradedFinding(severity, bars, regulation), measured_within=within) is allowed


def test_grade__never_below_the_regulation_without_a_new_measurement_within() -> None:
    for severity, regulation in product(SEVERITIES, ("", *SEVERITIES)):
        finding = GradedFinding("do_not_move", "movement", regulation)
        expected = not regulation or SEVERITIES.index(severity) >= SEVERITIES.index(regulation)
        assert may_be_graded(finding, severity, "nothing", measured_within=False) is expected
        assert may_be_graded(finding, severity, "nothing", measured_within=True)


def test_grade__cold_freight_barred_by_a_regulation_stays_barred() -> None:
    by_regulation = GradedFinding("next_shop_visit", "cold_freight", "next_shop_visit")
    own = GradedFinding("next_shop_visit", "cold_freight", "")
    assert not may_be_graded(by_regulation, "next_shop_visit", "nothing", measured_within=False)
    assert may_be_graded(by_regulation, "next_shop_visit", "cold_freight", measured_within=False)
    assert may_be_graded(own, "next_shop_visit", "nothing", measured_within=False)
