"""Every reject condition of the periodic inspection has a point, and a vehicle with it may not be driven.

Source: 49 CFR Part 396 Appendix A, its items typed below (read whole as Appendix G of 2015; 1.l, 1.m, 10.c and 14 from
memory), and the sections that docs/catalogue-coverage.md names, typed there from their texts. Appendix A says of each
condition that a vehicle "does not pass", and 396.17(a) and 396.3(a)(1) that it is not used until it does: so each keeps
the vehicle from being driven. How grave it is beyond that is in no text.
"""

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import NamedTuple

import pytest

from defects.enums import Authority, Listing, rank
from defects.rules.catalogue.catalogue import load_catalogue
from defects.rules.catalogue.closed_sets import RuleKind
from defects.rules.catalogue.places import places_for
from defects.rules.catalogue.points import Finding, Limit, Point
from defects.rules.walkarounds.verdicts import Verdict
from tests.support.rule_facts import UNITS, check, judge, with_axles

PAGE = Path(__file__).resolve().parents[2] / "docs" / "catalogue-coverage.md"
POINTS = load_catalogue().points

ITEMS = [
    *(f"1.a({number})" for number in range(1, 10)),
    *("1.b", "1.c", "1.d(1)", "1.d(2)", "1.d(3)", "1.d(4)", "1.d(5)", "1.e", "1.f", "1.g", "1.h", "1.i", "1.j", "1.k"),
    *("1.l", "1.m", "2.a(1)", "2.a(2)", "2.a(3)", "2.a(4)", "2.b", "2.c", "2.d", "2.e", "2.f"),
    *("3.a", "3.b", "3.c", "4.a", "4.b", "4.c", "5", "6.a", "6.b", "6.c"),
    *(f"7.{letter}" for letter in "abcdefghij"),
    *("8.a", *(f"8.b({number})" for number in range(1, 8)), "8.c", "9.a", "9.b", "9.c"),
    *(f"10.a({number})" for number in range(1, 15)),
    *(f"10.b({number})" for number in range(1, 9)),
    *("10.c", "11.a", "11.b", "11.c", "11.d", "12", "13", "14", "15"),
]
"""9.c is what the appendix prints after 9.b without a letter: the sliding subframe."""

APPENDIX, SECTIONS, MILDER = "Appendix A to Part 396", "Other sections that forbid driving", "Asked for, and milder"


class Row(NamedTuple):
    """A line of a table of the page: its item or section, and the rules it names as (point, finding or limit)."""

    item: str
    rules: tuple[tuple[str, str], ...]
    left_out: bool


def rows_of(page: str) -> Mapping[str, list[Row]]:
    """The rows of each table, by its heading."""
    found: dict[str, list[Row]] = {}
    for heading, text in re.findall(r"^## (.+?)\n(.*?)(?=^## |\Z)", page, flags=re.DOTALL | re.MULTILINE):
        for line in re.findall(r"^\| (.+) \|$", text, flags=re.MULTILINE):
            item, _, says = line.split(" | ")
            rules = tuple((name, code) for name, code in re.findall(r"`([a-z.-]+)#([a-z0-9_-]+)`", says))
            if rules or says.startswith("not asked: "):
                found.setdefault(heading, []).append(Row(item, rules, says.startswith("not asked: ")))
    return found


def unknown(rows: Mapping[str, list[Row]]) -> Iterator[tuple[str, str]]:
    """What a page names and the catalogue does not have."""
    for name, code in (rule for table in rows.values() for row in table for rule in row.rules):
        point = POINTS.get(name)
        if point is None or (point.finding(code) is None and point.limit(code) is None):
            yield name, code


ROWS = rows_of(PAGE.read_text(encoding="utf-8"))
NAMED = {
    heading: sorted({rule for row in table for rule in row.rules if rule not in unknown(ROWS)})
    for heading, table in ROWS.items()
}
FORBIDDEN = sorted({*NAMED[APPENDIX], *NAMED[SECTIONS]})


def rule_of(name: str, code: str) -> Finding | Limit:
    found = POINTS[name].finding(code) or POINTS[name].limit(code)
    assert found is not None
    return found


def reported(point: Point, code: str) -> Verdict:
    """The verdict on the finding where the point is asked first, on a unit that has everything recorded."""
    disc = "disc" in point.applies_when.get("brake_type", ())
    unit = UNITS[point.unit_kinds[0]]
    unit = with_axles(unit, brake_type="disc") if disc else unit
    return judge(check(point.name, "defect", places_for(point, unit)[0], finding=code), unit)


def test_page__names_nothing_that_the_catalogue_does_not_have() -> None:
    assert sorted(unknown(ROWS)) == []


def test_page_with_a_point_or_finding_that_is_none__found() -> None:
    text = f"## {APPENDIX}\n\n| 5 | x | `cab.horn#silent` `cab.horn#loud` `cab.bell#silent` |\n"
    assert list(unknown(rows_of(text))) == [("cab.horn", "loud"), ("cab.bell", "silent")]


def test_every_item_of_the_appendix__has_a_rule_or_a_reason() -> None:
    assert [row.item for row in ROWS[APPENDIX]] == ITEMS
    assert [row.item for row in ROWS[APPENDIX] if bool(row.rules) == row.left_out] == []


@pytest.mark.parametrize(("name", "code"), [rule for rule in FORBIDDEN if POINTS[rule[0]].finding(rule[1])])
def test_condition_that_forbids_driving__reported_it_bars_movement(name: str, code: str) -> None:
    verdict = reported(POINTS[name], code)
    assert (verdict.outcome, verdict.bars, POINTS[name].authority) == ("finding", "movement", Authority.STATUTORY)


@pytest.mark.parametrize(("name", "code"), [rule for rule in FORBIDDEN if POINTS[rule[0]].limit(rule[1])])
def test_limit_that_forbids_driving__past_it_movement_is_barred(name: str, code: str) -> None:
    rule = rule_of(name, code)
    assert (rule.bars, rule.kind, POINTS[name].authority) == (
        "movement",
        RuleKind.REGULATION,
        Authority.STATUTORY,
    )


@pytest.mark.parametrize(("name", "code"), NAMED[MILDER])
def test_condition_that_is_milder__still_listed_for_the_shop(name: str, code: str) -> None:
    rule = rule_of(name, code)
    assert (rank(rule.severity), rule.kind) == (1, RuleKind.REGULATION)
    if isinstance(rule, Finding):
        verdict = reported(POINTS[name], code)
        assert (verdict.outcome, verdict.listing) == ("finding", Listing.REGULATION)


def test_every_statutory_finding_of_a_regulation__stands_on_the_page() -> None:
    on_page = {rule for named in NAMED.values() for rule in named}
    from_text = {
        (point.name, finding.code)
        for point in POINTS.values()
        if point.authority is Authority.STATUTORY
        for finding in point.findings
        if finding.source.basis == "read" and "49 CFR" in finding.source.section
    }
    assert sorted(from_text - on_page) == []


def test_findings_checked_here__at_least_a_hundred_and_fifty() -> None:
    findings = {rule for named in NAMED.values() for rule in named if POINTS[rule[0]].finding(rule[1])}
    assert len(findings) >= 150
