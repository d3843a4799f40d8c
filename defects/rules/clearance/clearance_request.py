"""What an asking comes to once its times are laid out: leaving, arriving, the kind of freight. Judges nothing."""

from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, tzinfo
from decimal import Decimal
from functools import lru_cache

from common.clock import day_in_zone, end_of_day
from defects.rules.clearance.snapshot import ClearancePolicy, LoadFact, Snapshot


@dataclass(frozen=True, slots=True)
class ClearanceRequest:
    """The trip as it would run if it were begun as planned, or now when its departure has passed.

    `duration` is the trip's own; leaving later is arriving later. `cold` and `food` are None for an unknown load.
    `us_states` are those crossed, whether the load names them or the trip.
    `risk_decided_at` is the newest decision about a load at risk on these units; `risk_undecided`: one waits for its
    first. All instants are in UTC, because a difference of local times is wrong across a change of the clocks.
    """

    as_of: datetime
    leave: datetime
    duration: timedelta
    leave_day: date
    has_trip: bool
    miles: Decimal | None
    cold: bool | None
    food: bool | None
    load: LoadFact | None
    us_states: frozenset[str]
    risk_decided_at: datetime | None
    risk_undecided: bool
    driver: str
    zone: tzinfo
    policy: ClearancePolicy

    @property
    def arrive(self) -> datetime:
        """When it would be there."""
        return self.leave + self.duration

    @property
    def pre_loaded(self) -> bool:
        """Whether the load is in the trailer already."""
        return self.load is not None and self.load.pre_loaded


def clearance_request_of(snapshot: Snapshot) -> ClearanceRequest:
    """Lay out a snapshot's times. ValueError for an instant without offset or an arrival before the departure."""
    as_of = utc(snapshot.as_of)
    leave, duration, miles = as_of, timedelta(0), None
    if snapshot.trip is not None:
        departure, arrival = utc(snapshot.trip.departure), utc(snapshot.trip.arrival)
        if arrival < departure:
            raise ValueError("arrival is before departure")
        leave, duration, miles = max(as_of, departure), arrival - departure, snapshot.trip.miles
    load = snapshot.load
    decisions = [risk.decided_at for risk in snapshot.risks_here if risk.decided_at is not None]
    return ClearanceRequest(
        as_of=as_of,
        leave=leave,
        duration=duration,
        leave_day=day_in_zone(leave, snapshot.zone),
        has_trip=snapshot.trip is not None,
        miles=miles,
        cold=None if load is None else load.temperature_class.is_cold,
        food=None if load is None else load.food,
        load=load,
        us_states=states_of(snapshot),
        risk_decided_at=max(decisions, default=None),
        risk_undecided=any(risk.is_undecided for risk in snapshot.risks_here),
        driver=snapshot.driver.ref if snapshot.driver is not None else "",
        zone=snapshot.zone,
        policy=snapshot.policy,
    )


def states_of(snapshot: Snapshot) -> frozenset[str]:
    """The States that the load is to cross, and those that the trip itself names."""
    named = (fact.us_states for fact in (snapshot.load, snapshot.trip) if fact is not None)
    return frozenset().union(*named)


def utc(instant: datetime) -> datetime:
    """The same instant in UTC; ValueError for one without an offset."""
    if instant.utcoffset() is None:
        raise ValueError("an instant needs its offset")
    return instant.astimezone(UTC)


@lru_cache(maxsize=4096)
def day_over(day: date, zone: tzinfo) -> datetime:
    """The instant at which a last day has passed; kept, because a yard asks for the same days again and again."""
    return end_of_day(day, zone)
