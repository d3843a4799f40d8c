"""Whether a certificate that repair was unnecessary still holds when a trip begins and ends. Knows no severity."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from defects.rules.clearance.clearance_request import ClearanceRequest, day_over
from defects.rules.clearance.codes import Code
from defects.rules.clearance.unit_facts import DeferralFact, MeterFact

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
