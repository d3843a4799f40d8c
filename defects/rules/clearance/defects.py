"""What each open defect of a unit stops: movement, new cold freight or nothing. Weighs no combination of brakes."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from defects.enums import FREIGHT, Authority, Bars, bars_until_certified
from defects.rules.clearance.answer import Facts, FactValue
from defects.rules.clearance.brakes import BrakeFault
from defects.rules.clearance.clearance_request import ClearanceRequest, day_over
from defects.rules.clearance.codes import Code, EndsWhen
from defects.rules.clearance.draft_answer import DraftAnswer
from defects.rules.clearance.unit_facts import DefectFact, DeferralFact, MeterFact, RepairedFact, UnitFacts

_MICROSECOND = timedelta(microseconds=1)
_MICROSECONDS_AN_HOUR = timedelta(hours=1) // _MICROSECOND


@dataclass(frozen=True, slots=True)
class DeferralState:
    """`ended` says how it does not hold; `unknown`: one of its limits cannot be compared.

    `leave_by`: while it holds, the instant from which leaving would have its day pass before arrival.
    """

    ended: Code | None = None
    unknown: bool = False
    leave_by: datetime | None = None

    @property
    def holds(self) -> bool:
        """Whether it is known to hold until arrival."""
        return self.ended is None and not self.unknown


def deferral_state(deferral: DeferralFact, meters: MeterFact, clearance_request: ClearanceRequest) -> DeferralState:
    """The first limit that passes decides. A trip's hours all count as engine hours, the most they can be."""
    miles = clearance_request.miles if clearance_request.has_trip else Decimal(0)
    hours = Decimal(clearance_request.duration // _MICROSECOND) / _MICROSECONDS_AN_HOUR
    states = [
        _by_day(deferral, clearance_request),
        _by_meter(deferral.limit_mi, meters.odometer_mi, miles),
        _by_meter(deferral.limit_engine_h, meters.engine_h, hours),
    ]
    ended = {state.ended for state in states}
    for code in (Code.DEFERRAL_OVER, Code.DEFERRAL_ENDS_BEFORE_ARRIVAL):
        if code in ended:
            return DeferralState(code)
    return DeferralState(unknown=any(state.unknown for state in states), leave_by=states[0].leave_by)


def _by_day(deferral: DeferralFact, clearance_request: ClearanceRequest) -> DeferralState:
    if deferral.limit_on is None:
        return DeferralState()
    over = day_over(deferral.limit_on, clearance_request.zone)
    if clearance_request.leave >= over:
        return DeferralState(Code.DEFERRAL_OVER)
    if clearance_request.arrive >= over:
        return DeferralState(Code.DEFERRAL_ENDS_BEFORE_ARRIVAL)
    return DeferralState(leave_by=over - clearance_request.duration)


def _by_meter(limit: Decimal | None, total: Decimal | None, ahead: Decimal | None) -> DeferralState:
    if limit is None:
        return DeferralState()
    if total is None:
        return DeferralState(unknown=True)
    if total >= limit:
        return DeferralState(Code.DEFERRAL_OVER)
    if ahead is None:
        return DeferralState(unknown=True)
    return DeferralState(Code.DEFERRAL_ENDS_BEFORE_ARRIVAL) if total + ahead >= limit else DeferralState()


def judge_defects(unit: UnitFacts, clearance_request: ClearanceRequest, draft: DraftAnswer) -> None:
    """Put every defect that is not certified repaired where it counts."""
    for defect in unit.defects:
        certificate = defect.certificate
        if isinstance(certificate, RepairedFact):
            if defect.photo_awaited and all(hold.defect != defect.number for hold in unit.holds):
                draft.not_known(Code.PHOTO_AWAITED, unit.ref, EndsWhen.PHOTO_RECEIVED, defect_facts(defect))
            continue
        if defect.counts_as_service_brake:
            # Without a place, two faults cannot be told to be one brake, and count as two.
            place = defect.place or str(defect.number)
            draft.brake_faults.append(
                BrakeFault(unit.ref, place, defect.over_in, steering_axle=defect.on_steering_axle)
            )
        deferral = None if certificate is None else deferral_state(certificate, unit.meters, clearance_request)
        if not defect.graded:
            _bar(Code.DEFECT_NOT_GRADED, unit.ref, defect, EndsWhen.DEFECT_GRADED, draft)
        elif defect.bars in FREIGHT:
            _judge_freight(defect, unit.ref, clearance_request, draft)
        elif bars_until_certified(defect.bars, defect.listing) == Bars.MOVEMENT:
            _judge_movement(defect, deferral, unit.ref, draft)
        else:
            _leave_open(defect, unit.ref, draft)


def defect_facts(defect: DefectFact) -> Facts:
    """What names a defect in a sentence."""
    return (
        ("defect", defect.number),
        ("point", defect.point),
        ("place", defect.place),
        ("severity", str(defect.severity)),
        *defect.said,
    )


def _judge_movement(defect: DefectFact, deferral: DeferralState | None, unit: str, draft: DraftAnswer) -> None:
    if deferral is None:
        own = defect.authority is Authority.CARRIER and defect.bars is Bars.MOVEMENT
        code = Code.CARRIER_DEFECT if own else Code.DEFECT_NOT_CERTIFIED
        _bar(code, unit, defect, _ends(defect), draft)
    elif deferral.ended is not None:
        _bar(deferral.ended, unit, defect, EndsWhen.DEFECT_REPAIRED, draft)
    elif deferral.unknown:
        _bar(Code.DEFERRAL_LIMIT_UNKNOWN, unit, defect, EndsWhen.LIMIT_SHOWN, draft)
    else:
        _leave_open(defect, unit, draft)
        _note_end(defect, deferral, unit, draft)


def _judge_freight(defect: DefectFact, unit: str, clearance_request: ClearanceRequest, draft: DraftAnswer) -> None:
    """Bar new freight only, deferred or not. What is already loaded is a load at risk: it waits for a decision.

    That a repair is unnecessary says that the vehicle is safe without it (396.11(a)(3)(ii)), and nothing of the food.
    """
    of_food = defect.bars is Bars.FOOD
    concerned = clearance_request.food if of_food else clearance_request.cold
    facts = defect_facts(defect)
    ends = EndsWhen.ANSWERED_AGAIN if defect.ends_by_driver else EndsWhen.DEFECT_REPAIRED
    step = bool(concerned) and not of_food and defect.ends_by_driver
    if step:
        draft.step(Code.TO_PUT_RIGHT, unit, ends, facts, since=defect.since)
    if concerned is False or (clearance_request.pre_loaded and _is_seen_to(defect, clearance_request)):
        if not step:
            _leave_open(defect, unit, draft)
    elif concerned is None:
        code = Code.FOOD_DEFECT_LOAD_UNKNOWN if of_food else Code.COLD_DEFECT_LOAD_UNKNOWN
        draft.not_known(code, unit, ends, facts)
    elif clearance_request.pre_loaded:
        draft.step(Code.LOAD_AT_RISK_UNDECIDED, unit, EndsWhen.DECISION_RECORDED, facts, since=defect.since)
    elif not step:
        _bar(Code.FOOD_DEFECT if of_food else Code.COLD_DEFECT, unit, defect, ends, draft)


def _ends(defect: DefectFact) -> EndsWhen:
    if defect.ends_by_driver:
        return EndsWhen.ANSWERED_AGAIN
    return EndsWhen.DEFECT_REPAIRED if defect.must_be_repaired else EndsWhen.DEFECT_CERTIFIED


def _is_seen_to(defect: DefectFact, clearance_request: ClearanceRequest) -> bool:
    """Whether a decision newer than the fault is recorded, or a load at risk asks for one by its own record."""
    return clearance_request.risk_undecided or (
        clearance_request.risk_decided_at is not None and clearance_request.risk_decided_at >= defect.since
    )


def _leave_open(defect: DefectFact, unit: str, draft: DraftAnswer) -> None:
    """Say a fault that this answer does not rest on; one whose repair was put off, with its limits."""
    facts = defect_facts(defect)
    if not isinstance(defect.certificate, DeferralFact):
        draft.leave_open(Code.DEFECT_OPEN, unit, facts)
        return
    limits: dict[str, FactValue | None] = {
        "limit_on": defect.certificate.limit_on,
        "limit_mi": defect.certificate.limit_mi,
        "limit_engine_h": defect.certificate.limit_engine_h,
    }
    known = tuple((name, limit) for name, limit in limits.items() if limit is not None)
    draft.leave_open(Code.DEFECT_DEFERRED, unit, (*facts, *known))


def _note_end(defect: DefectFact, deferral: DeferralState, unit: str, draft: DraftAnswer) -> None:
    if deferral.leave_by is not None:
        draft.ends(deferral.leave_by, Code.DEFERRAL_ENDS_BEFORE_ARRIVAL, unit, defect_facts(defect))


def _bar(code: Code, unit: str, defect: DefectFact, ends_when: EndsWhen, draft: DraftAnswer) -> None:
    draft.bar(
        code,
        unit,
        ends_when,
        defect_facts(defect),
        source=defect.source if code is Code.CARRIER_DEFECT else "",
        since=defect.since,
        expected_at=defect.expected_at,
    )
