"""Puts the judges together: one snapshot in, one answer out. The same function answers for a trip and for the yard."""

from defects.enums import ClearanceAnswer
from defects.rules.clearance.answer import ClearanceJudgement, Ending, LeftOpen, Reason, Unknown
from defects.rules.clearance.clearance_request import clearance_request_of
from defects.rules.clearance.codes import Code, EndsWhen, ReasonKind
from defects.rules.clearance.combination import judge_combination
from defects.rules.clearance.cooling import judge_fuel, judge_pre_cooling
from defects.rules.clearance.defects import judge_defects
from defects.rules.clearance.documents import judge_documents, judge_driver
from defects.rules.clearance.draft_answer import DraftAnswer
from defects.rules.clearance.holds import (
    judge_holds,
    judge_limited_moves,
    judge_refusals,
    judge_third_party_units,
    judge_work,
)
from defects.rules.clearance.looks import judge_looks
from defects.rules.clearance.readiness import judge_full_walk, judge_reviews, judge_walk
from defects.rules.clearance.snapshot import Snapshot
from defects.rules.clearance.weights import judge_weighed


def answer_clearance(snapshot: Snapshot) -> ClearanceJudgement:
    """May these units roll as asked. Pure: the same snapshot always gives the same answer, in the same order.

    Raises ValueError for an instant without offset, an arrival before the departure, no unit, or one named twice.
    """
    if not snapshot.units:
        raise ValueError("a clearance is asked for at least one unit")
    if len({unit.ref for unit in snapshot.units}) < len(snapshot.units):
        raise ValueError("a unit is named at least one time too often")
    clearance_request = clearance_request_of(snapshot)
    draft = DraftAnswer()
    for unit in snapshot.units:
        if unit.unreadable:
            draft.bar(Code.RECORD_UNREADABLE, unit.ref, EndsWhen.RECORD_MENDED)
            continue
        judge_holds(unit, clearance_request, draft)
        judge_limited_moves(unit, clearance_request, draft)
        judge_work(unit, clearance_request, draft)
        judge_refusals(unit, draft)
        judge_third_party_units(unit, draft)
        judge_defects(unit, clearance_request, draft)
        judge_documents(unit.documents, unit.ref, clearance_request, draft)
        judge_walk(unit, clearance_request, draft)
        judge_reviews(unit, draft)
        judge_looks(unit, clearance_request, draft)
        if unit.left:
            draft.leave_open(Code.UNIT_LEFT, unit.ref, unit.left)
        if unit.fuel_lost is not None and unit.fuel_lost.is_recent_at(clearance_request.as_of):
            draft.leave_open(Code.FUEL_LOST, unit.ref, tuple(unit.fuel_lost.facts.items()))
        judge_fuel(unit, clearance_request, draft)
        judge_pre_cooling(unit, clearance_request, draft)
    judge_full_walk(snapshot.units, draft)
    judge_documents(snapshot.carrier_documents, "", clearance_request, draft)
    if snapshot.driver is not None:
        judge_driver(snapshot.driver, clearance_request, draft)
    judge_combination(snapshot, clearance_request, draft)
    judge_weighed(snapshot, clearance_request, draft)
    return _weigh(draft)


def _weigh(draft: DraftAnswer) -> ClearanceJudgement:
    reasons = tuple(sorted(draft.reasons, key=_reason_order))
    unknown = tuple(sorted(draft.unknown, key=_unknown_order))
    left_open = tuple(sorted(draft.left_open, key=_unknown_order))
    if any(reason.kind is ReasonKind.BARS for reason in reasons):
        return ClearanceJudgement(ClearanceAnswer.BARRED, reasons, unknown, left_open)
    first = min(draft.endings, key=_ending_order, default=None)
    answer = ClearanceAnswer.AFTER_DRIVER_STEPS if reasons else ClearanceAnswer.NOTHING_KNOWN_AGAINST
    return ClearanceJudgement(answer, reasons, unknown, left_open, first)


def _reason_order(reason: Reason) -> tuple[bool, str, str, str]:
    return reason.kind is not ReasonKind.BARS, reason.unit, reason.code, repr(reason)


def _unknown_order(row: Unknown | LeftOpen) -> tuple[str, str, str]:
    return row.unit, row.code, repr(row)


def _ending_order(ending: Ending) -> tuple[object, ...]:
    return ending.leave_by, ending.code, ending.unit, repr(ending.facts)
