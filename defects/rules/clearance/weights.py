"""What the newest scale ticket of the load says against rolling with it, and what moving the tandem would change."""

from collections.abc import Sequence

from common.clock import day_in_zone
from defects.rules.clearance.answer import Facts
from defects.rules.clearance.clearance_request import ClearanceRequest
from defects.rules.clearance.codes import Code, EndsWhen
from defects.rules.clearance.draft_answer import DraftAnswer
from defects.rules.clearance.snapshot import PermitFact, Snapshot, WeighedFact
from defects.rules.weights import (
    AXLE_LB,
    AxleGroup,
    AxlePlace,
    Overweight,
    WeightLimit,
    WeightUnknown,
    judge_weights,
    slide_that_helps,
)
from fleet.enums import UnitKind

CODES: dict[WeightLimit, Code] = {
    WeightLimit.AXLE: Code.AXLES_OVERWEIGHT,
    WeightLimit.TANDEM: Code.AXLES_OVERWEIGHT,
    WeightLimit.BRIDGE: Code.BRIDGE_OVERWEIGHT,
    WeightLimit.GROSS: Code.GROSS_OVERWEIGHT,
    WeightLimit.TIRES: Code.TIRES_OVERLOADED,
}

ENDS = dict.fromkeys(
    (WeightUnknown.WEIGHED_TOGETHER, WeightUnknown.TICKET_FLAGGED, WeightUnknown.OTHER_TRACTOR),
    EndsWhen.WEIGHED_AGAIN,
)
"""When what could not be compared ends by another ticket; else by recording what is missing."""


def judge_weighed(snapshot: Snapshot, clearance_request: ClearanceRequest, draft: DraftAnswer) -> None:
    """Weights bar until a new ticket shows them within their limits: a tandem that was moved is weighed again.

    A newer ticket by another tractor lifts no bar, and bars by what the trailer's own axles weigh. What a permit of
    each State crossed allows on every day of the trip does not bar, and is said.
    """
    weighed = snapshot.weighed
    if weighed is None:
        if _is_missed(snapshot):
            draft.not_known(Code.NOT_WEIGHED, "", EndsWhen.WEIGHED_AGAIN)
        return
    said, unknown = set[Facts](), set[WeightUnknown]()
    for ticket in filter(None, (weighed, weighed.newer)):
        verdict = judge_weights(ticket.groups)
        moves = _slide(ticket, verdict.over)
        for over in verdict.over:
            unit, facts = _unit(over.axles), _facts(over)
            axles: Facts = (("limit", over.limit), ("unit", unit), facts[0])
            if axles in said:
                continue
            said.add(axles)
            permits = permitting(over, ticket.groups, clearance_request)
            if permits:
                named = ", ".join(f"{permit.us_state} {permit.number}" for permit in permits)
                draft.leave_open(Code.OVERWEIGHT_PERMITTED, unit, (*facts, ("permits", named)))
            else:
                draft.bar(CODES[over.limit], unit, EndsWhen.WEIGHED_AGAIN, (*facts, *moves), since=ticket.at)
        unknown |= verdict.unknown | ({ticket.unusable} if ticket.unusable else set())
    for why in sorted(unknown):
        facts = (("why", why),)
        draft.not_known(Code.WEIGHTS_NOT_COMPARED, "", ENDS.get(why, EndsWhen.FACT_RECORDED), facts)


def permitting(
    over: Overweight, groups: Sequence[AxleGroup], clearance_request: ClearanceRequest
) -> tuple[PermitFact, ...]:
    """The permits that together allow a weight on the whole trip, one for each State; empty where they do not.

    Nothing is permitted where no State is named, and nothing by a permit lets tires carry more than is marked on them.
    """
    load, whole = clearance_request.load, sum(len(group.axles) for group in groups)
    last = day_in_zone(clearance_request.arrive, clearance_request.zone)
    by_state = {
        permit.us_state: permit
        for permit in (() if load is None else load.permits)
        if permit.starts_on <= clearance_request.leave_day
        and last <= permit.ends_on
        and over.lb <= _permitted_lb(permit, over, whole=len(over.axles) == whole)
    }
    states = clearance_request.us_states
    return tuple(by_state[state] for state in sorted(states)) if states and states <= by_state.keys() else ()


def _permitted_lb(permit: PermitFact, over: Overweight, *, whole: bool) -> int:
    if over.limit is WeightLimit.AXLE:
        return (permit.axle_lb or 0) * over.limit_lb // AXLE_LB
    if over.limit is WeightLimit.TANDEM:
        return permit.tandem_lb or 0
    if over.limit is WeightLimit.BRIDGE:
        return max(permit.group_lb or 0, (permit.gross_lb or 0) if whole else 0)
    return (permit.gross_lb or 0) if over.limit is WeightLimit.GROSS else 0


def _is_missed(snapshot: Snapshot) -> bool:
    """Whether a tractor is to pull a load whose weight is known, and no scale has said where it lies."""
    load = snapshot.load
    hauled = load is not None and load.pre_loaded and load.weighs
    return hauled and any(unit.kind is UnitKind.TRACTOR for unit in snapshot.units)


def _slide(weighed: WeighedFact, over: tuple[Overweight, ...]) -> Facts:
    if not over or weighed.tandem is None:
        return ()
    slide = slide_that_helps(weighed.groups, weighed.tandem)
    return () if slide is None else (("holes", slide.holes), ("rearward", slide.rearward))


def _unit(axles: tuple[AxlePlace, ...]) -> str:
    """The unit that the axles are of, empty where they are of two."""
    units = {axle.unit for axle in axles}
    return units.pop() if len(units) == 1 else ""


def _facts(over: Overweight) -> Facts:
    first, last = over.axles[0], over.axles[-1]
    same = first.unit == last.unit
    where = str(first.number) if len(over.axles) == 1 else f"{first.number}-{last.number}"
    axles = where if same else f"{first.unit} {first.number} - {last.unit} {last.number}"
    return (("axles", axles), ("lb", over.lb), ("limit_lb", over.limit_lb))
