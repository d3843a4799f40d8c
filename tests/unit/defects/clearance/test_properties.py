"""Properties of every answer: more against it never helps; time alone only worsens it, and only when it said so."""

import os
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from random import Random
from typing import Any, TypeVar

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from defects.enums import Authority, Bars, ClearanceAnswer, Listing, Severity
from defects.rules.clearance.answer import ClearanceJudgement, Ending, LeftOpen, Reason, Unknown
from defects.rules.clearance.codes import Code, ReasonKind
from defects.rules.clearance.evaluate import answer_clearance
from defects.rules.clearance.snapshot import Snapshot
from defects.rules.clearance.unit_facts import (
    DefectFact,
    DeferralFact,
    DocumentFact,
    HoldFact,
    LookFact,
    RefusalFact,
    RepairedFact,
    ReportFact,
)
from fleet.enums import UnitKind
from fleet.rules.documents.periods import PeriodEnd
from fleet.rules.documents.states import Span
from tests.unit.defects.clearance import strategies as any_of

T = TypeVar("T")
RANK = {ClearanceAnswer.BARRED: 0, ClearanceAnswer.AFTER_DRIVER_STEPS: 1, ClearanceAnswer.NOTHING_KNOWN_AGAINST: 2}
WHICH_UNIT = st.integers(0, 2)
TICK = timedelta(microseconds=1)
LONG = timedelta(days=60)
MANY = int(os.environ.get("CLEARANCE_EXAMPLES", "25"))
"""How many snapshots each property is tried on; more of them when this package changes."""
SETTINGS = settings(
    max_examples=MANY, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much]
)


def _rank(asked: Snapshot) -> int:
    return RANK[answer_clearance(asked).answer]


def _with(asked: Snapshot, which: int, **changes: Any) -> Snapshot:
    """The snapshot with a change to one unit; a value that is a function makes it from the old one."""
    unit = asked.units[which]
    made = {name: change(getattr(unit, name)) if callable(change) else change for name, change in changes.items()}
    units = list(asked.units)
    units[which] = replace(unit, **made)
    return replace(asked, units=tuple(units))


def _against(answer: ClearanceJudgement) -> Counter[tuple[object, Code, str]]:
    """What is against it: each code by unit, steps apart from bars, however often."""
    named = [(reason.kind, reason.code, reason.unit) for reason in answer.reasons]
    return Counter([*named, *((None, row.code, row.unit) for row in answer.unknown)])


@SETTINGS
@given(any_of.snapshots)
def test_answer__follows_from_what_it_lists(asked: Snapshot) -> None:
    answer = answer_clearance(asked)
    bars = any(reason.kind is ReasonKind.BARS for reason in answer.reasons)
    if bars:
        assert (answer.answer, answer.valid_until) == (ClearanceAnswer.BARRED, None)
    elif answer.reasons:
        assert answer.answer is ClearanceAnswer.AFTER_DRIVER_STEPS
    else:
        assert answer.answer is ClearanceAnswer.NOTHING_KNOWN_AGAINST
    kinds = [reason.kind is ReasonKind.BARS for reason in answer.reasons]
    assert kinds == sorted(kinds, reverse=True)
    assert {reason.unit for reason in answer.reasons} <= {"", *(unit.ref for unit in asked.units)}
    assert all(reason.source for reason in answer.reasons)


@SETTINGS
@given(any_of.snapshots)
def test_every_fault_that_stands__is_named_somewhere(asked: Snapshot) -> None:
    assume(any(unit.defects for unit in asked.units))
    answer = answer_clearance(asked)
    rows: list[Reason | Unknown | LeftOpen] = [*answer.reasons, *answer.unknown, *answer.left_open]
    said = [(row.unit, dict(row.facts).get("defect")) for row in rows]
    undecided = Code.LOAD_AT_RISK_UNDECIDED in {reason.code for reason in answer.reasons}
    for unit in asked.units:
        for fault in unit.defects:
            certified = isinstance(fault.certificate, RepairedFact)
            assert certified or (unit.ref, fault.number) in said or undecided


@SETTINGS
@given(any_of.snapshots, st.randoms(use_true_random=False))
def test_same_facts_in_any_order__same_answer(asked: Snapshot, random: Random) -> None:
    def mixed(rows: tuple[T, ...]) -> tuple[T, ...]:
        return tuple(random.sample(rows, len(rows)))

    units = tuple(
        replace(
            unit,
            holds=mixed(unit.holds),
            defects=mixed(unit.defects),
            documents=mixed(unit.documents),
            looks=mixed(unit.looks),
            reports_to_review=mixed(unit.reports_to_review),
        )
        for unit in asked.units
    )
    other = replace(asked, units=mixed(units), carrier_documents=mixed(asked.carrier_documents))
    assert answer_clearance(other) == answer_clearance(asked)


@SETTINGS
@given(any_of.snapshots | any_of.promising, WHICH_UNIT, any_of.defects)
def test_defect_added__never_improves_and_never_holds_longer(asked: Snapshot, which: int, defect: DefectFact) -> None:
    before, after = answer_clearance(asked), answer_clearance(_with(asked, which, defects=lambda old: (*old, defect)))
    assert RANK[after.answer] <= RANK[before.answer]
    if before.valid_until is not None and after.answer is not ClearanceAnswer.BARRED:
        assert after.valid_until is not None
        assert after.valid_until <= before.valid_until


@SETTINGS
@given(any_of.snapshots | any_of.promising, WHICH_UNIT, any_of.holds, any_of.refusals)
def test_hold_or_refusal_added__never_improves(
    asked: Snapshot, which: int, hold: HoldFact, refusal: RefusalFact
) -> None:
    assert _rank(_with(asked, which, holds=lambda old: (*old, hold))) <= _rank(asked)
    assert _rank(_with(asked, which, refusals=lambda old: (*old, refusal))) <= _rank(asked)


@SETTINGS
@given(any_of.snapshots | any_of.promising, WHICH_UNIT, any_of.looks(any_of.INSTANTS), any_of.INSTANTS)
def test_report_or_what_has_no_answer_added_or_walk_lost__never_improves(
    asked: Snapshot, which: int, look: LookFact, at: datetime
) -> None:
    report, silent = ReportFact("77", at), replace(look, answers=frozenset())
    assert _rank(_with(asked, which, looks=lambda old: (*old, silent))) <= _rank(asked)
    assert _rank(_with(asked, which, reports_to_review=lambda old: (*old, report))) <= _rank(asked)
    assert _rank(_with(asked, which, walk=None)) <= _rank(asked)


@SETTINGS
@given(any_of.snapshots | any_of.promising, WHICH_UNIT)
def test_documents_lost__never_improves(asked: Snapshot, which: int) -> None:
    def lost(documents: tuple[DocumentFact, ...]) -> tuple[DocumentFact, ...]:
        return tuple(replace(document, spans=()) for document in documents)

    assert _rank(_with(asked, which, documents=lost)) <= _rank(asked)
    assert _rank(replace(asked, carrier_documents=lost(asked.carrier_documents))) <= _rank(asked)


@SETTINGS
@given(any_of.snapshots | any_of.promising, WHICH_UNIT, st.integers(0, 3))
def test_document_ending_earlier__never_improves(asked: Snapshot, which: int, days: int) -> None:
    def shorter(documents: tuple[DocumentFact, ...]) -> tuple[DocumentFact, ...]:
        return tuple(
            replace(document, spans=tuple(_shorter(span, days) for span in document.spans)) for document in documents
        )

    assert _rank(_with(asked, which, documents=shorter)) <= _rank(asked)


@SETTINGS
@given(any_of.snapshots | any_of.promising, WHICH_UNIT, any_of.DAYS, any_of.HOURS)
def test_deferred_defect__bars_again_after_its_limit(
    asked: Snapshot, which: int, last_day: date, wait: timedelta
) -> None:
    """The last day is included and ends at midnight of the carrier's zone."""
    asked = replace(asked, as_of=asked.as_of + wait)
    deferral = DeferralFact(asked.as_of, limit_on=last_day)
    put_off = DefectFact(
        number=1001,
        point="point",
        place="",
        severity=Severity.BEFORE_NEXT_USE,
        bars=Bars.MOVEMENT,
        authority=Authority.STATUTORY,
        listing=Listing.NOTED,
        rule="point#worn",
        since=asked.as_of,
        certificate=deferral,
    )
    with_it = answer_clearance(_with(asked, which, defects=lambda old: (*old, put_off)))
    said = [reason.code for reason in with_it.reasons if ("defect", 1001) in reason.facts]
    leave, arrive = asked.as_of, asked.as_of
    if asked.trip is not None:
        leave = max(asked.as_of, asked.trip.departure)
        arrive = leave + (asked.trip.arrival - asked.trip.departure)
    midnight = datetime.combine(last_day + timedelta(days=1), time(), tzinfo=asked.zone)
    if leave >= midnight:
        assert said == [Code.DEFERRAL_OVER]
    elif arrive >= midnight:
        assert said == [Code.DEFERRAL_ENDS_BEFORE_ARRIVAL]
    else:
        assert said == []
        assert with_it.answer is answer_clearance(asked).answer
    assert (with_it.answer is ClearanceAnswer.BARRED) or not said


@SETTINGS
@given(any_of.snapshots)
def test_uncoupled__no_other_units_brakes_or_faults_are_carried(asked: Snapshot) -> None:
    for unit in asked.units:
        alone = replace(asked, units=(unit,), other_loads=())
        answer = answer_clearance(alone)
        assert {reason.unit for reason in answer.reasons} <= {"", unit.ref}
        shares: list[dict[str, Any]] = [
            dict(reason.facts) for reason in answer.reasons if reason.code is Code.BRAKE_SHARE
        ]
        own = [row for row in unit.defects if row.counts_as_service_brake]
        assert len(shares) <= (1 if own else 0)
        for share in shares:
            assert share["brakes"] == (0 if unit.kind is UnitKind.COOLING_UNIT else unit.service_brakes)
            assert share["defective"] <= len(own)
        steer: list[dict[str, Any]] = [
            dict(reason.facts) for reason in answer.reasons if reason.code is Code.STEERING_AXLE_BRAKE
        ]
        for found in steer:
            assert all(place.startswith(unit.ref) for place in found["places"])


@SETTINGS
@given(any_of.promising, st.floats(0, 1))
def test_time_passes__nothing_changes_before_valid_until(asked: Snapshot, share: float) -> None:
    answer = answer_clearance(asked)
    assume(answer.answer is not ClearanceAnswer.BARRED)
    until = answer.valid_until or asked.as_of + LONG
    assert until > asked.as_of
    at = asked.as_of + (until - asked.as_of) * share
    for instant in (at, until - TICK):
        if asked.as_of <= instant < until:
            later = answer_clearance(replace(asked, as_of=instant))
            assert later.answer is answer.answer
            assert _against(later) == _against(answer)
            assert later.first_to_end_it == answer.first_to_end_it


@SETTINGS
@given(any_of.promising)
def test_valid_until_reached__more_is_against_it_and_what_was_named_is(asked: Snapshot) -> None:
    answer = answer_clearance(asked)
    ending = answer.first_to_end_it
    assume(ending is not None)
    assert ending is not None
    reached = answer_clearance(replace(asked, as_of=ending.leave_by))
    more = _against(reached) - _against(answer)
    assert more
    assert not _against(answer) - _against(reached)
    assert RANK[reached.answer] <= RANK[answer.answer]
    assert ending.unit in {unit for _, _, unit in more}


@SETTINGS
@given(any_of.promising, any_of.HOURS)
def test_any_later_time__a_yes_never_improves(asked: Snapshot, wait: timedelta) -> None:
    answer = answer_clearance(asked)
    assume(answer.answer is not ClearanceAnswer.BARRED)
    later = answer_clearance(replace(asked, as_of=asked.as_of + wait))
    assert RANK[later.answer] <= RANK[answer.answer]
    if answer.valid_until is not None and asked.as_of + wait >= answer.valid_until:
        assert later != answer


@SETTINGS
@given(any_of.promising)
def test_first_to_end_it_removed__it_holds_longer_or_for_another_reason(asked: Snapshot) -> None:
    answer = answer_clearance(asked)
    ending = answer.first_to_end_it
    assume(ending is not None)
    assert ending is not None
    after = answer_clearance(_without(asked, ending))
    assert after.answer is answer.answer
    assert after.first_to_end_it != ending
    assert after.valid_until is None or after.valid_until >= ending.leave_by


def _without(asked: Snapshot, ending: Ending) -> Snapshot:
    facts = dict(ending.facts)
    if ending.code is Code.DOCUMENT_ENDS_BEFORE_ARRIVAL:
        name = (facts["document"], facts.get("us_state", ""))
        return _everywhere(asked, ending.unit, lambda document: _permanent(document, name))
    which = next(position for position, unit in enumerate(asked.units) if unit.ref == ending.unit)
    unit = asked.units[which]
    if ending.code is Code.WALK_DUE:
        assert unit.walk is not None
        return _with(asked, which, walk=replace(unit.walk, at=unit.walk.at + LONG))
    if ending.code is Code.NO_ANSWER_RECORDED:
        return _with(asked, which, looks=())
    if ending.code is Code.FUEL_TO_ADD:
        assert unit.fuel is not None
        return _with(asked, which, fuel=replace(unit.fuel, running=False))
    assert ending.code is Code.DEFERRAL_ENDS_BEFORE_ARRIVAL
    lasting = tuple(_without_day(row) if row.number == facts["defect"] else row for row in unit.defects)
    return _with(asked, which, defects=lasting)


def _everywhere(asked: Snapshot, ref: str, change: Callable[[DocumentFact], DocumentFact]) -> Snapshot:
    if ref:
        which = next(position for position, unit in enumerate(asked.units) if unit.ref == ref)
        return _with(asked, which, documents=lambda documents: tuple(map(change, documents)))
    driver = asked.driver and replace(asked.driver, documents=tuple(map(change, asked.driver.documents)))
    return replace(asked, carrier_documents=tuple(map(change, asked.carrier_documents)), driver=driver)


def _permanent(document: DocumentFact, name: tuple[object, object]) -> DocumentFact:
    return (
        replace(document, spans=(Span(None, PeriodEnd()),)) if (document.kind, document.needed_in) == name else document
    )


def _without_day(defect: DefectFact) -> DefectFact:
    deferral = defect.certificate
    assert isinstance(deferral, DeferralFact)
    return replace(defect, certificate=replace(deferral, limit_on=None))


def _shorter(span: Span, days: int) -> Span:
    def earlier(day: date | None) -> date | None:
        return None if day is None else day - timedelta(days=days)

    end = span.end
    return replace(
        span,
        end=replace(
            end,
            by_day=earlier(end.by_day) or date(2026, 3, 1),
            by_month_end=earlier(end.by_month_end),
            grace_until=earlier(end.grace_until),
        ),
    )
