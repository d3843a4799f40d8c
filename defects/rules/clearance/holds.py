"""What stands against one unit whoever drives it and whatever it carries: holds, refusals, gaps in a unit of others."""

from decimal import Decimal

from defects.enums import Bars, HoldKind
from defects.rules.clearance.answer import Facts
from defects.rules.clearance.clearance_request import ClearanceRequest
from defects.rules.clearance.codes import Code, EndsWhen
from defects.rules.clearance.draft_answer import DraftAnswer
from defects.rules.clearance.unit_facts import HoldFact, LimitedMoveFact, UnitFacts, WorkFact
from fleet.enums import UnitKind


def judge_holds(unit: UnitFacts, clearance_request: ClearanceRequest, draft: DraftAnswer) -> None:
    """Every active hold bars; a carrier's on cold freight alone, only such freight that is still to be loaded."""
    awaited = {defect.number for defect in unit.defects if defect.photo_awaited}
    for hold in unit.holds:
        facts: Facts = (("hold", hold.number), *hold.said, *((("reason", hold.reason),) if hold.reason else ()))
        if hold.defect in awaited:
            facts += (("photo_awaited", True),)
        if (
            hold.bars is not Bars.COLD_FREIGHT
            or hold.by is HoldKind.OFFICER
            or (clearance_request.cold and not clearance_request.pre_loaded)
        ):
            _bar_by_hold(hold, unit.ref, facts, clearance_request, draft)
        else:
            draft.leave_open(Code.CARRIER_HOLD, unit.ref, facts)


def judge_limited_moves(unit: UnitFacts, clearance_request: ClearanceRequest, draft: DraftAnswer) -> None:
    """A permitted limited move lifts nothing; it is said with its limits, so that nobody reads the bar alone.

    One whose time is passed is said too while the unit is barred and no end is recorded, and a trip beyond its miles.
    So are the miles driven where they are beyond it, and that they are not known where nobody read the odometer.
    """
    for move in unit.limited_moves:
        if clearance_request.as_of >= move.ends_at:
            if unit.holds or any(defect.bars is Bars.MOVEMENT for defect in unit.defects):
                over: Facts = (("to_place", move.to_place), ("ends_at", move.ends_at), ("name", move.driver))
                draft.leave_open(Code.LIMITED_MOVE_PASSED, unit.ref, over)
            continue
        driven = _driven(move, unit)
        if driven is None:
            draft.leave_open(Code.LIMITED_MOVE_UNMETERED, unit.ref, (("distance_mi", move.distance_mi),))
        elif driven > move.distance_mi:
            beyond: Facts = (("driven_mi", driven), ("distance_mi", move.distance_mi))
            draft.leave_open(Code.LIMITED_MOVE_PASSED, unit.ref, beyond)
            continue
        if clearance_request.miles is not None and clearance_request.miles > move.distance_mi:
            longer: Facts = (("miles", clearance_request.miles), ("distance_mi", move.distance_mi))
            draft.leave_open(Code.LIMITED_MOVE_PASSED, unit.ref, longer)
        facts: Facts = (
            ("to_place", move.to_place),
            ("distance_mi", move.distance_mi),
            ("ends_at", move.ends_at),
            ("name", move.driver),
            *((("conditions", move.conditions),) if move.conditions else ()),
        )
        draft.leave_open(Code.LIMITED_MOVE, unit.ref, facts)


def _driven(move: LimitedMoveFact, unit: UnitFacts) -> Decimal | None:
    total = unit.meters.odometer_mi
    return None if move.from_mi is None or total is None else total - move.from_mi


def judge_work(unit: UnitFacts, clearance_request: ClearanceRequest, draft: DraftAnswer) -> None:
    """Work that was begun bars until done or signed paused; on a cooling unit new cold freight, never movement.

    Fit to move says nothing of cold freight: a pause frees a cooling unit for that only where its signer says so.
    """
    for work in unit.work:
        undone: Facts = (("undone", work.undone),) if work.undone else ()
        facts: Facts = (("order", work.order), ("work", work.what), *undone)
        cooling = unit.kind is UnitKind.COOLING_UNIT
        if work.undone and (work.cold_freight_too or not cooling):
            draft.leave_open(Code.WORK_PAUSED, unit.ref, facts)
        elif not cooling:
            _bar_by_work(Code.WORK_IN_PROGRESS, work, unit.ref, facts, draft)
        elif clearance_request.cold and not clearance_request.pre_loaded:
            _bar_by_work(Code.COLD_WORK_IN_PROGRESS, work, unit.ref, facts, draft)
        elif clearance_request.cold is None:
            draft.not_known(Code.COLD_WORK_LOAD_UNKNOWN, unit.ref, EndsWhen.COLD_WORK_DONE, facts)
        else:
            draft.leave_open(Code.COLD_WORK_IN_PROGRESS, unit.ref, facts)


def judge_refusals(unit: UnitFacts, draft: DraftAnswer) -> None:
    """A refused unit is offered to nobody until a second qualified person has looked."""
    for refusal in unit.refusals:
        if not refusal.looked_at:
            facts = (("refusal", refusal.number),)
            draft.bar(Code.REFUSAL_NOT_LOOKED_AT, unit.ref, EndsWhen.SECOND_LOOK, facts, since=refusal.at)


def judge_third_party_units(unit: UnitFacts, draft: DraftAnswer) -> None:
    """A third-party unit bars until inspection date, plate and owner are recorded; a cooling unit has only an owner."""
    others = unit.others
    if others is None:
        return
    if not others.owner:
        draft.bar(Code.OTHERS_OWNER_MISSING, unit.ref, EndsWhen.UNIT_COMPLETED)
    if unit.kind is UnitKind.COOLING_UNIT:
        return
    if others.inspected_on is None:
        draft.bar(Code.OTHERS_INSPECTION_DATE_MISSING, unit.ref, EndsWhen.UNIT_COMPLETED)
    if not others.plate:
        draft.bar(Code.OTHERS_PLATE_MISSING, unit.ref, EndsWhen.UNIT_COMPLETED)


def _bar_by_hold(
    hold: HoldFact, unit: str, facts: Facts, clearance_request: ClearanceRequest, draft: DraftAnswer
) -> None:
    code, ends_when = Code.CARRIER_HOLD, EndsWhen.HOLD_LIFTED_BY_SECOND_PERSON
    if hold.by is HoldKind.OFFICER:
        code, ends_when = Code.OFFICERS_ORDER, EndsWhen.ORDER_FULFILLED
    elif clearance_request.policy.small_carrier:
        ends_when = EndsWhen.HOLD_LIFTED
    draft.bar(code, unit, ends_when, facts, since=hold.since, expected_at=hold.expected_at)


def _bar_by_work(code: Code, work: WorkFact, unit: str, facts: Facts, draft: DraftAnswer) -> None:
    ends_when = EndsWhen.WORK_DONE if code is Code.WORK_IN_PROGRESS else EndsWhen.COLD_WORK_DONE
    draft.bar(code, unit, ends_when, facts, since=work.since, expected_at=work.expected_at)
