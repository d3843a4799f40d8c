"""What is weighed over all units at once: brakes, coupling, cold without a cooling unit, the seal, loads at risk."""

from collections.abc import Iterable, Mapping

from defects.enums import RiskCause
from defects.rules.clearance.brakes import BrakeFault, defective_brakes, reaches_share, steering_axle_alone
from defects.rules.clearance.clearance_request import ClearanceRequest
from defects.rules.clearance.codes import Code, EndsWhen
from defects.rules.clearance.draft_answer import DraftAnswer
from defects.rules.clearance.snapshot import Snapshot
from defects.rules.clearance.unit_facts import UnitFacts
from fleet.enums import UnitKind

BY_CAUSE: Mapping[str, Code] = {
    RiskCause.PRODUCT_TOO_WARM: Code.PRODUCT_TOO_WARM,
    RiskCause.PRODUCT_TOO_COLD: Code.PRODUCT_TOO_COLD,
    RiskCause.AIR_OUTSIDE_RANGE: Code.LOAD_OUTSIDE_RANGE,
}
"""What asks for a decision over a load at risk, by its newest cause, where its sentence says more than that."""


def judge_combination(snapshot: Snapshot, clearance_request: ClearanceRequest, draft: DraftAnswer) -> None:
    """Judge the units asked for as one combination; nothing of a unit that is not among them counts."""
    units = snapshot.units
    if draft.brake_faults:
        _judge_brakes(units, draft.brake_faults, clearance_request, draft)
    if not snapshot.joined and len(units) > 1:
        road = [unit.ref for unit in units if unit.kind is not UnitKind.COOLING_UNIT]
        facts = (("units", tuple(sorted(road if len(road) > 1 else (unit.ref for unit in units)))),)
        draft.step(Code.UNITS_TO_COUPLE, "", EndsWhen.UNITS_COUPLED, facts)
    elif snapshot.left_behind and any(unit.kind is UnitKind.TRACTOR for unit in units):
        facts = (("units", tuple(sorted(snapshot.left_behind))),)
        draft.step(Code.UNITS_TO_UNCOUPLE, "", EndsWhen.UNITS_UNCOUPLED, facts)
    if clearance_request.load is not None and clearance_request.pre_loaded and clearance_request.load.seal_read:
        draft.bar(Code.SEAL_DIFFERS, "", EndsWhen.SEAL_DECIDED, (("seal_read", clearance_request.load.seal_read),))
    elif (
        clearance_request.load is not None
        and clearance_request.pre_loaded
        and clearance_request.load.sealed
        and not clearance_request.load.seal_checked
    ):
        draft.step(Code.SEAL_TO_CHECK, "", EndsWhen.SEAL_CHECKED)
    if clearance_request.cold:
        _judge_cold_freight(snapshot, clearance_request, draft)
    _judge_loads_at_risk(snapshot, clearance_request, draft)
    _judge_other_loads(snapshot, draft)


def _judge_brakes(
    units: Iterable[UnitFacts], faults: list[BrakeFault], clearance_request: ClearanceRequest, draft: DraftAnswer
) -> None:
    defective = defective_brakes(faults, half_counts=clearance_request.policy.half_brake_counts)
    if defective:
        _judge_share(units, defective, draft)
    if steering_axle_alone(faults):
        places = tuple(sorted({f"{fault.unit} {fault.place}".strip() for fault in faults if fault.steering_axle}))
        draft.bar(Code.STEERING_AXLE_BRAKE, "", EndsWhen.DEFECT_REPAIRED, (("places", places),))


def _judge_share(units: Iterable[UnitFacts], defective: int, draft: DraftAnswer) -> None:
    counts = [unit.service_brakes for unit in units if unit.kind is not UnitKind.COOLING_UNIT]
    known = [count for count in counts if count is not None]
    if len(known) < len(counts):
        facts = (("defective", defective),)
        draft.bar(Code.BRAKE_COUNT_UNKNOWN, "", EndsWhen.FACT_RECORDED, facts)
    elif reaches_share(defective, sum(known)):
        share = (("defective", defective), ("brakes", sum(known)))
        draft.bar(Code.BRAKE_SHARE, "", EndsWhen.DEFECT_REPAIRED, share)


def _judge_cold_freight(snapshot: Snapshot, clearance_request: ClearanceRequest, draft: DraftAnswer) -> None:
    if clearance_request.load is not None and clearance_request.load.setpoint_f is None:
        draft.not_known(Code.ORDERED_TEMPERATURE_UNKNOWN, "", EndsWhen.FACT_RECORDED)
    here = (unit for unit in snapshot.units if unit.ref not in snapshot.cooling_elsewhere)
    if all(unit.kind is not UnitKind.COOLING_UNIT for unit in here):
        draft.bar(Code.COOLING_UNIT_MISSING, "", EndsWhen.COOLING_UNIT_ADDED)


def _judge_loads_at_risk(snapshot: Snapshot, clearance_request: ClearanceRequest, draft: DraftAnswer) -> None:
    """A step until a decision is recorded: rolling on may be the best for the food. New cold freight waits longer."""
    for risk in snapshot.risks_here:
        facts = (("load_at_risk", risk.number),)
        if not risk.disposed and clearance_request.cold and not clearance_request.pre_loaded:
            draft.bar(Code.FOOD_NOT_DISPOSED, risk.unit, EndsWhen.DISPOSITION_SIGNED, facts, since=risk.since)
        elif risk.is_undecided:
            code = BY_CAUSE.get(risk.cause, Code.LOAD_AT_RISK_UNDECIDED)
            draft.step(code, risk.unit, EndsWhen.DECISION_RECORDED, facts + risk.facts, since=risk.since)
        elif not risk.disposed:
            draft.leave_open(Code.LOAD_AT_RISK, risk.unit, facts)


def _judge_other_loads(snapshot: Snapshot, draft: DraftAnswer) -> None:
    """A load that is not asked about is said; where the one asked for needs its place, it is unloaded first."""
    for load in snapshot.other_loads:
        facts = (("load", load.number),)
        if load.in_the_way:
            draft.step(Code.OTHER_LOAD_IN_THE_WAY, load.unit, EndsWhen.LOAD_DELIVERED, facts)
        else:
            draft.leave_open(Code.OTHER_LOAD_ABOARD, load.unit, facts)
