"""What the newest scale ticket of the load says against rolling with it, and what moving the tandem would change."""

from defects.rules.clearance.answer import Facts
from defects.rules.clearance.codes import Code, EndsWhen
from defects.rules.clearance.draft_answer import DraftAnswer
from defects.rules.clearance.snapshot import Snapshot, WeighedFact
from defects.rules.weights import AxlePlace, Overweight, WeightLimit, WeightUnknown, judge_weights, slide_that_helps
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


def judge_weighed(snapshot: Snapshot, draft: DraftAnswer) -> None:
    """Weights bar until a new ticket shows them within their limits: a tandem that was moved is weighed again.

    A newer ticket by another tractor lifts no bar, and bars by what the trailer's own axles weigh.
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
            if axles not in said:
                said.add(axles)
                draft.bar(CODES[over.limit], unit, EndsWhen.WEIGHED_AGAIN, (*facts, *moves), since=ticket.at)
        unknown |= verdict.unknown | ({ticket.unusable} if ticket.unusable else set())
    for why in sorted(unknown):
        facts = (("why", why),)
        draft.not_known(Code.WEIGHTS_NOT_COMPARED, "", ENDS.get(why, EndsWhen.FACT_RECORDED), facts)


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
