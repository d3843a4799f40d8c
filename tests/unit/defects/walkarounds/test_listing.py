"""Which findings 49 CFR 396.11(a)(2)(i) wants listed, and why: what needs its certificate before the next drive."""

import pytest

from defects.enums import Authority, Listing, Severity, rank
from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.closed_sets import RuleKind
from defects.rules.catalogue.points import Finding, Limit, Point
from fleet.enums import UnitKind
from tests.support.rule_facts import TRACTOR, TRAILER, check, judge, point


@pytest.mark.parametrize(
    ("name", "place", "finding", "unit", "listing"),
    [
        ("tires.trailer.body", "axle-1-left-outer", "valve_cap_missing", TRAILER, Listing.NOTED),
        ("tires.trailer.body", "axle-1-left-outer", "cord_showing", TRAILER, Listing.SAFETY),
        ("body.mud-flaps", "left", "missing_or_torn", TRAILER, Listing.NOTED),
        ("body.mud-flaps", "right", "missing_or_torn", TRACTOR, Listing.NOTED),
        ("cab.windshield", "", "outside_drivers_view", TRACTOR, Listing.NOTED),
        ("cab.wipers-and-washer", "", "washer_empty", TRACTOR, Listing.REGULATION),
        ("engine.belts", "", "cracked_or_frayed", TRACTOR, Listing.BREAKDOWN),
        ("inside.liner", "left", "hole_to_foam", TRAILER, Listing.NOTED),
    ],
)
def test_finding__listed_or_noted_with_its_reason(
    name: str, place: str, finding: str, unit: object, listing: Listing
) -> None:
    verdict = judge(check(name, "defect", place, finding=finding), unit)  # type: ignore[arg-type]
    assert (verdict.finding, verdict.listing) == (finding, listing)


def rules_of(known: Point) -> list[Limit | Finding]:
    return [*known.limits, *known.findings]


def test_whatever_keeps_a_unit_from_being_used__is_listed() -> None:
    for known in load_catalogue().points.values():
        for rule in rules_of(known):
            if rank(rule.severity) >= rank(Severity.BEFORE_NEXT_USE):
                assert rule.listing is not Listing.NOTED


def test_every_milder_statutory_finding_without_a_regulation__says_which_it_is() -> None:
    milder = [
        rule
        for known in load_catalogue().points.values()
        if known.authority is Authority.STATUTORY
        for rule in rules_of(known)
        if rule.severity is Severity.NEXT_SHOP_VISIT and rule.kind is RuleKind.CARRIER
    ]
    assert milder
    assert all(rule.listing is not None for rule in milder)


def test_mud_flaps__are_asked_of_a_tractor_too() -> None:
    assert set(point("body.mud-flaps").unit_kinds) == {UnitKind.TRACTOR, UnitKind.TRAILER}
