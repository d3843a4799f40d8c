"""New, seen again, raised or late: what a finding means for the defects that are known."""

from dataclasses import replace
from datetime import datetime, timedelta
from decimal import Decimal
from uuid import UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from common.ids import uuid7
from defects.enums import Bars, Outcome, Severity, SightingHow, default_bars, rank
from defects.rules.walkarounds.assess import Judged
from defects.rules.walkarounds.merging import KnownDefect, Merged, merge_findings
from defects.rules.walkarounds.verdicts import Verdict
from tests.support.submissions import RECEIVED, given_check

HOUR = timedelta(hours=1)
FAULT = ("tires.trailer.body", "axle-1-left-outer")
OPEN, ENDED = uuid7(), uuid7()
MILD, GRAVE = Severity.NEXT_SHOP_VISIT, Severity.DO_NOT_MOVE


def found(severity: Severity = GRAVE, place: str = FAULT[1], index: int = 0, bars: Bars | None = None) -> Judged:
    verdict = Verdict(Outcome.FINDING, "x#y", severity=severity, bars=bars or default_bars(severity))
    return Judged(index, given_check(FAULT[0], place), None, verdict)


def known(id_: UUID, severity: Severity, certified_at: datetime | None = None, bars: Bars | None = None) -> KnownDefect:
    return KnownDefect(id_, str(severity), str(bars or default_bars(severity)), certified_at)


def merged(*findings: Judged, open_defect: KnownDefect | None = None, ended: KnownDefect | None = None) -> list[Merged]:
    return merge_findings(
        findings, {} if open_defect is None else {FAULT: open_defect}, {} if ended is None else {FAULT: ended}, RECEIVED
    )


def outcomes(rows: list[Merged]) -> list[tuple[SightingHow, UUID | None, UUID | None]]:
    return [(row.merge, row.defect, row.comeback_of) for row in rows]


def test_nothing_known__new() -> None:
    assert outcomes(merged(found())) == [(SightingHow.NEW, None, None)]


@pytest.mark.parametrize(
    ("severity", "merge"),
    [
        (Severity.WATCH, SightingHow.SEEN_AGAIN),
        (MILD, SightingHow.SEEN_AGAIN),
        (Severity.BEFORE_NEXT_USE, SightingHow.RAISED),
    ],
)
def test_open_already__seen_again_and_raised_only_by_a_worse_one(severity: Severity, merge: SightingHow) -> None:
    assert outcomes(merged(found(severity), open_defect=known(OPEN, MILD))) == [(merge, OPEN, None)]


def past(value: str, limit: str = "2", severity: Severity = GRAVE) -> Judged:
    check = given_check(*FAULT, value=value, unit_of_measure="in")
    verdict = Verdict(
        Outcome.FINDING,
        "x#y",
        severity=severity,
        bars=default_bars(severity),
        limit_value=Decimal(limit),
        accepted_value=Decimal(value),
    )
    return Judged(0, check, None, verdict)


def measured(by: str | None, severity: Severity = GRAVE) -> KnownDefect:
    return replace(known(OPEN, severity), past_by=None if by is None else Decimal(by))


@pytest.mark.parametrize(
    ("seen", "open_defect", "names"),
    [
        (past("2.6"), measured("0.31"), True),
        (past("2.1"), measured("0.31"), False),
        (past("2.31"), measured("0.31"), False),
        (past("2.1"), measured(None), True),  # what was only seen is measured now
        (past("2.6", severity=MILD), measured("0.31"), False),
        (found(), measured("0.31"), False),
        (found(), measured(None), False),
    ],
)
def test_as_grave__names_the_defect_once_it_is_measured_further_past_its_limit(
    seen: Judged, open_defect: KnownDefect, names: bool
) -> None:
    (row,) = merged(seen, open_defect=open_defect)
    assert (row.merge, row.names) == (SightingHow.SEEN_AGAIN, names)


def test_two_of_one_fault__the_one_measured_furthest_past_comes_first() -> None:
    rows = merged(found(), past("2.1"), past("2.6"))
    assert [row.judged.value for row in rows] == [Decimal("2.6"), Decimal("2.1"), None]
    assert [row.merge for row in rows] == [SightingHow.NEW, SightingHow.SEEN_AGAIN, SightingHow.SEEN_AGAIN]


def test_as_severe_and_barring_more__raised_and_barring_less_only_seen_again() -> None:
    """A belt that was cracked is missing now: as severe, but no cold freight any more."""
    cold, nothing = found(MILD, bars=Bars.COLD_FREIGHT), found(MILD)
    assert outcomes(merged(cold, open_defect=known(OPEN, MILD))) == [(SightingHow.RAISED, OPEN, None)]
    open_defect = known(OPEN, MILD, bars=Bars.COLD_FREIGHT)
    assert outcomes(merged(nothing, open_defect=open_defect)) == [(SightingHow.SEEN_AGAIN, OPEN, None)]
    assert [row.judged for row in merged(nothing, cold)] == [cold, nothing]


def test_other_place__another_defect() -> None:
    rows = merged(found(place="axle-1-left-inner"), open_defect=known(OPEN, GRAVE))
    assert outcomes(rows) == [(SightingHow.NEW, None, None)]


def test_found_after_the_certificate__new_and_a_comeback() -> None:
    ended = known(ENDED, GRAVE, RECEIVED - HOUR)
    assert outcomes(merged(found(), ended=ended)) == [(SightingHow.NEW, None, ENDED)]


def test_found_at_the_instant_of_the_certificate__new_and_a_comeback() -> None:
    assert outcomes(merged(found(), ended=known(ENDED, GRAVE, RECEIVED))) == [(SightingHow.NEW, None, ENDED)]


def test_found_before_the_certificate__late_and_of_the_repaired_defect() -> None:
    ended = known(ENDED, MILD, RECEIVED + HOUR)
    assert outcomes(merged(found(GRAVE), ended=ended)) == [(SightingHow.LATE, ENDED, None)]


def test_late_finding_while_a_comeback_is_open__leaves_the_comeback_alone() -> None:
    rows = merged(found(), open_defect=known(OPEN, MILD), ended=known(ENDED, GRAVE, RECEIVED + HOUR))
    assert outcomes(rows) == [(SightingHow.LATE, ENDED, None)]


def test_put_off_by_a_certificate__late_before_it_and_raised_after_it() -> None:
    before, after = known(OPEN, MILD, RECEIVED + HOUR), known(OPEN, MILD, RECEIVED - HOUR)
    assert outcomes(merged(found(GRAVE), open_defect=before)) == [(SightingHow.LATE, OPEN, None)]
    assert outcomes(merged(found(GRAVE), open_defect=after)) == [(SightingHow.RAISED, OPEN, None)]


def test_same_fault_twice_in_one_report__one_defect_with_the_worst_first() -> None:
    rows = merged(found(MILD, index=0), found(GRAVE, index=1))

    assert [(row.merge, row.judged.index) for row in rows] == [(SightingHow.NEW, 1), (SightingHow.SEEN_AGAIN, 0)]


def test_open_and_answered_twice__raised_once() -> None:
    rows = merged(found(Severity.BEFORE_NEXT_USE), found(GRAVE), open_defect=known(OPEN, MILD))

    assert [(row.merge, row.judged.verdict.severity) for row in rows] == [
        (SightingHow.RAISED, GRAVE),
        (SightingHow.SEEN_AGAIN, Severity.BEFORE_NEXT_USE),
    ]


def test_verdict_without_severity__is_no_finding() -> None:
    fine = Judged(0, given_check(*FAULT, answer="fine"), None, Verdict(Outcome.FINE, "judge#fine"))
    with pytest.raises(ValueError, match="no finding"):
        _ = fine.verdict.graded


places = st.sampled_from(["a", "b", "c"])
any_known = st.builds(
    known,
    st.uuids(),
    st.sampled_from(list(Severity)),
    certified_at=st.none() | st.sampled_from([RECEIVED - HOUR, RECEIVED + HOUR]),
)


@given(
    st.lists(st.tuples(st.sampled_from(list(Severity)), places), max_size=8),
    st.dictionaries(places, any_known),
    st.dictionaries(places, any_known),
)
def test_any_findings__open_or_raise_each_fault_once_and_never_lower_it(
    given_findings: list[tuple[Severity, str]], open_defect: dict[str, KnownDefect], ended: dict[str, KnownDefect]
) -> None:
    findings = [found(severity, place, index) for index, (severity, place) in enumerate(given_findings)]
    rows = merge_findings(
        findings,
        {(FAULT[0], place): defect for place, defect in open_defect.items()},
        {(FAULT[0], place): defect for place, defect in ended.items()},
        RECEIVED,
    )

    assert sorted(row.judged.index for row in rows) == list(range(len(findings)))
    for place in {place for _, place in given_findings}:
        here = [row for row in rows if row.fault == (FAULT[0], place)]
        assert sum(row.merge in {SightingHow.NEW, SightingHow.RAISED} for row in here) <= 1
        worst = max(rank(row.judged.verdict.graded) for row in here)
        if here[0].merge in {SightingHow.NEW, SightingHow.RAISED}:
            assert rank(here[0].judged.verdict.graded) == worst
        elif here[0].merge is SightingHow.SEEN_AGAIN:
            assert worst <= rank(Severity(open_defect[place].severity))
