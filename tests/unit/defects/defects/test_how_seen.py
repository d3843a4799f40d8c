"""New, seen again, raised or late: what a finding means for the defects that are known."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from defects.enums import Bars, Outcome, Severity, SightingHow, default_bars, rank
from defects.rules.defects.judgement import how_seen, is_further, worst_first
from defects.rules.walkarounds.verdicts import Verdict
from tests.support.submissions import RECEIVED, given_check

HOUR = timedelta(hours=1)
FAULT = ("tires.trailer.body", "axle-1-left-outer")
MILD, GRAVE = Severity.NEXT_SHOP_VISIT, Severity.DO_NOT_MOVE


@dataclass(frozen=True)
class Stored:
    """A defect as far as it is asked about."""

    severity: str
    bars: str
    certified_at: datetime | None = None
    value: Decimal | None = None
    limit_value: Decimal | None = None


def found(severity: Severity = GRAVE, place: str = FAULT[1], bars: Bars | None = None) -> Verdict:
    check = given_check(FAULT[0], place)
    return Verdict(Outcome.FINDING, "x#y", check, severity=severity, bars=bars or default_bars(severity))


def known(severity: Severity, certified_at: datetime | None = None, bars: Bars | None = None) -> Stored:
    return Stored(str(severity), str(bars or default_bars(severity)), certified_at)


def seen(
    finding: Verdict, open_defect: Stored | None = None, ended: Stored | None = None
) -> tuple[SightingHow, Stored | None]:
    return how_seen(finding, open_defect, ended, RECEIVED)


def test_nothing_known__new() -> None:
    assert seen(found()) == (SightingHow.NEW, None)


@pytest.mark.parametrize(
    ("severity", "how"),
    [
        (Severity.WATCH, SightingHow.SEEN_AGAIN),
        (MILD, SightingHow.SEEN_AGAIN),
        (Severity.BEFORE_NEXT_USE, SightingHow.RAISED),
    ],
)
def test_open_already__seen_again_and_raised_only_by_a_worse_one(severity: Severity, how: SightingHow) -> None:
    open_defect = known(MILD)
    assert seen(found(severity), open_defect) == (how, open_defect)


def past(value: str, limit: str = "2", severity: Severity = GRAVE) -> Verdict:
    return Verdict(
        Outcome.FINDING,
        "x#y",
        given_check(*FAULT, value=value, unit_of_measure="in"),
        severity=severity,
        bars=default_bars(severity),
        limit_value=Decimal(limit),
        accepted_value=Decimal(value),
    )


MEASURED = Stored(str(GRAVE), str(default_bars(GRAVE)), value=Decimal("2.31"), limit_value=Decimal(2))


@pytest.mark.parametrize(
    ("finding", "open_defect", "further"),
    [
        (past("2.6"), MEASURED, True),
        (past("2.1"), MEASURED, False),
        (past("2.31"), MEASURED, False),
        (past("2.1"), known(GRAVE), True),  # what was only seen is measured now
        (past("2.6", severity=MILD), MEASURED, False),
        (found(), MEASURED, False),
        (found(), known(GRAVE), False),
    ],
)
def test_as_grave__names_the_defect_once_it_is_measured_further_past_its_limit(
    finding: Verdict, open_defect: Stored, further: bool
) -> None:
    assert is_further(finding, open_defect) is further


def test_two_of_one_fault__the_one_measured_furthest_past_comes_first() -> None:
    by_fault = worst_first([found(), past("2.1"), past("2.6")])
    assert [each.value for each in by_fault[FAULT]] == [Decimal("2.6"), Decimal("2.1"), None]


def test_as_severe_and_barring_more__raised_and_barring_less_only_seen_again() -> None:
    """A belt that was cracked is missing now: as severe, but no cold freight any more."""
    cold, nothing = found(MILD, bars=Bars.COLD_FREIGHT), found(MILD)
    assert seen(cold, known(MILD))[0] is SightingHow.RAISED
    assert seen(nothing, known(MILD, bars=Bars.COLD_FREIGHT))[0] is SightingHow.SEEN_AGAIN
    assert worst_first([nothing, cold]) == {FAULT: [cold, nothing]}


def test_other_place__another_fault() -> None:
    there = found(place="axle-1-left-inner")
    assert set(worst_first([found(), there])) == {FAULT, there.fault}


@pytest.mark.parametrize("certified_at", [RECEIVED - HOUR, RECEIVED])
def test_found_after_the_certificate_or_at_its_instant__new(certified_at: datetime) -> None:
    assert seen(found(), ended=known(GRAVE, certified_at)) == (SightingHow.NEW, None)


def test_found_before_the_certificate__late_and_of_the_repaired_defect() -> None:
    ended = known(MILD, RECEIVED + HOUR)
    assert seen(found(GRAVE), ended=ended) == (SightingHow.LATE, ended)


def test_late_finding_while_a_comeback_is_open__leaves_the_comeback_alone() -> None:
    ended = known(GRAVE, RECEIVED + HOUR)
    assert seen(found(), known(MILD), ended) == (SightingHow.LATE, ended)


def test_put_off_by_a_certificate__late_before_it_and_raised_after_it() -> None:
    before, after = known(MILD, RECEIVED + HOUR), known(MILD, RECEIVED - HOUR)
    assert seen(found(GRAVE), before) == (SightingHow.LATE, before)
    assert seen(found(GRAVE), after) == (SightingHow.RAISED, after)


def test_verdict_without_severity__is_no_finding() -> None:
    fine = Verdict(Outcome.FINE, "judge#fine", given_check(*FAULT, answer="fine"))
    with pytest.raises(ValueError, match="no finding"):
        _ = fine.graded


any_known = st.builds(
    known,
    st.sampled_from(list(Severity)),
    certified_at=st.none() | st.sampled_from([RECEIVED - HOUR, RECEIVED + HOUR]),
)


@given(st.lists(st.sampled_from(list(Severity)), min_size=1, max_size=8), st.none() | any_known, st.none() | any_known)
def test_any_findings__the_worst_decides_and_never_lowers_an_open_defect(
    severities: list[Severity], open_defect: Stored | None, ended: Stored | None
) -> None:
    findings = worst_first(map(found, severities))[FAULT]
    how, defect = seen(findings[0], open_defect, ended)

    assert len(findings) == len(severities)
    assert rank(findings[0].graded) == max(map(rank, severities))
    assert (defect is None) is (how is SightingHow.NEW)
    if how is SightingHow.SEEN_AGAIN:
        assert open_defect is not None
        assert rank(findings[0].graded) <= rank(open_defect.severity)
