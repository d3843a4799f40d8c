"""Laying out one trip that dispatch asks for: the units, the load, the driver, and all that is known of them."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from common.clock import day_in_zone
from common.errors import Invalid
from defects.rules.clearance.snapshot import DriverFact, Snapshot, TripFact
from defects.selectors.clearance.context import ClearanceContext, LoadRow, context_of, is_aboard, load_fact
from defects.selectors.clearance.snapshot import TripRequest, TripsRequest, fact_rows
from defects.selectors.clearance.units import Gathered, gather
from fleet.enums import UnitKind
from fleet.models import Unit
from fleet.selectors.carrier.carrier import EffectivePolicies


@dataclass(frozen=True)
class Trip:
    """What dispatch asks for: the units, departure and arrival, and as far as it is known distance, load and driver.

    `us_states` are those crossed that no load names, as on an empty run.
    """

    units: Sequence[Unit]
    departure: datetime
    arrival: datetime
    miles: Decimal | None = None
    us_states: Sequence[str] = ()
    requested: TripRequest = field(default_factory=TripRequest)


@dataclass(frozen=True)
class Named:
    """A row that a trip is about: its key and what people call it."""

    key: UUID
    name: str


@dataclass(frozen=True)
class TripFacts:
    """Everything known about a trip, and the driver and load that it is about."""

    snapshot: Snapshot
    effective: EffectivePolicies
    driver: Named | None
    load: Named | None


def trip_facts(trip: Trip, *, now: datetime) -> TripFacts:
    """Everything known about one trip, in one statement.

    Without a load asked for, the one aboard is meant. Invalid `load_unknown`, `load_ended` for one that is delivered or
    called off, `load_elsewhere` for one in a trailer that is not asked for, `person_unknown`; NotFound
    `carrier_missing`.
    """
    gathered = gather(fact_rows([unit.pk for unit in trip.units], as_of=now, requested=trip.requested))
    return _lay_out(trip, context_of(gathered), now)


def facts_of_trips(trips: Sequence[Trip], *, now: datetime) -> list[TripFacts]:
    """Everything known about many trips, in one statement; each names its driver by key. Errors as of `trip_facts`."""
    units = {unit.pk for trip in trips for unit in trip.units}
    requested = TripsRequest(
        people=frozenset().union(*(trip.requested.people for trip in trips)),
        loads=frozenset(number for trip in trips for number in trip.requested.loads),
    )
    context = context_of(gather(fact_rows(units, as_of=now, requested=requested)))
    return [_lay_out(trip, context, now) for trip in trips]


def _lay_out(trip: Trip, context: ClearanceContext, now: datetime) -> TripFacts:
    driver, load = _driver(context.gathered, trip), _load(context, trip)
    name = "" if driver is None else str(driver.key)
    snapshot = Snapshot(
        as_of=now,
        zone=context.zone,
        units=context.units(trip.units),
        trip=TripFact(trip.departure, trip.arrival, trip.miles, frozenset(trip.us_states)),
        load=None if load is None else load_fact(load, name),
        weighed=context.weighed(trip.units, load),
        driver=None if driver is None else _driver_fact(driver, context, now),
        carrier_documents=context.carrier_documents,
        loads_at_risk=context.risks(trip.units),
        other_loads=context.other_loads(trip.units, load),
        joined=_joined(trip.units, context),
        left_behind=_left_behind(trip.units, context),
        cooling_elsewhere=_cooling_elsewhere(trip.units, context),
        policy=context.policy,
    )
    return TripFacts(
        snapshot=snapshot,
        effective=context.effective,
        driver=driver,
        load=None if load is None else Named(UUID(load["id"]), load["number"]),
    )


def _driver(gathered: Gathered, trip: Trip) -> Named | None:
    found = next((item for item in gathered.every("driver") if item[0] == trip.requested.driver), None)
    if found is None and trip.requested.driver is not None:
        raise Invalid("person_unknown", pointer="/driver")
    return None if found is None else Named(found[0], found[1]["name"])


def _driver_fact(driver: Named, context: ClearanceContext, now: datetime) -> DriverFact:
    today = day_in_zone(now, context.zone).isoformat()
    periods = [period for row in context.gathered.of(driver.key, "driver") for period in row["drives"]]
    drives = any(period["starts_on"] <= today <= (period["ends_on"] or today) for period in periods)
    return DriverFact(str(driver.key), context.driver_documents(driver.key), drives)


def _load(context: ClearanceContext, trip: Trip) -> LoadRow | None:
    number = trip.requested.load.upper()
    if not number:
        return context.aboard(trip.units)
    load = next((row for row in context.loads if row["number"] == number), None)
    if load is None:
        raise Invalid("load_unknown", pointer="/load")
    if load["delivered_at"] is not None or load["cancelled_at"] is not None:
        raise Invalid("load_ended", pointer="/load", load=number)
    if is_aboard(load) and load["trailer"] not in {str(unit.pk) for unit in trip.units}:
        raise Invalid("load_elsewhere", pointer="/load", load=number, trailer=load["trailer_number"])
    return load


def _joined(units: Sequence[Unit], context: ClearanceContext) -> bool:
    """Whether the units run together as recorded: one coupling for the road, each cooling unit on one of its units."""
    road = [unit for unit in units if unit.kind != UnitKind.COOLING_UNIT]
    couplings = {context.coupling_of(unit) for unit in road}
    coupled = len(road) == 1 or (len(couplings) == 1 and None not in couplings)
    return coupled and not _cooling_elsewhere(units, context)


def _cooling_elsewhere(units: Sequence[Unit], context: ClearanceContext) -> tuple[str, ...]:
    """The cooling units asked for with others that are mounted on none of these; alone it is asked for as it is."""
    road = {str(unit.pk) for unit in units if unit.kind != UnitKind.COOLING_UNIT}
    cooling = (unit for unit in units if unit.kind == UnitKind.COOLING_UNIT)
    return tuple(str(unit) for unit in cooling if road and context.trailer_under(unit) not in road)


def _left_behind(units: Sequence[Unit], context: ClearanceContext) -> tuple[str, ...]:
    """The units recorded as coupled to those asked for that are not asked for themselves."""
    requested = {unit.pk for unit in units}
    couplings = {context.coupling_of(unit) for unit in units}
    members: list[tuple[UUID, dict[str, Any]]] = [
        (unit, row)
        for unit, row in context.gathered.every("coupling")
        if unit not in requested and row["coupling"] in couplings
    ]
    return tuple(sorted(f"{row['number']}@{row['owner']}" if row["owner"] else row["number"] for _, row in members))
