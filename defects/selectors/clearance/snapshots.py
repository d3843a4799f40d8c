"""Laying out snapshots for the pure rules: one for a trip that dispatch asks for, one for each group of a yard."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from common.errors import Invalid, NotFound
from defects.rules.clearance import (
    ClearancePolicy,
    DriverFact,
    LoadAtRiskFact,
    LoadFact,
    Snapshot,
    TemperatureClass,
    TripFact,
)
from defects.selectors.catalogue import catalogue_in_force
from defects.selectors.clearance.papers import papers_of
from defects.selectors.clearance.rows import Asked, fact_rows
from defects.selectors.clearance.units import Gathered, gather, unit_facts
from fleet.enums import UnitKind
from fleet.models import Unit
from fleet.rules.documents import Reading
from fleet.selectors.policies import Standing, standing_of

PAPER_CONDITIONS = "paper_conditions"
"""The policy that says which conditional papers the carrier's units, drivers and itself should have."""


@dataclass(frozen=True)
class Trip:
    """What dispatch asks for: the units, and as far as it is known load and driver, departure and arrival."""

    units: Sequence[Unit]
    departure: datetime
    arrival: datetime
    asked: Asked = Asked()


@dataclass(frozen=True)
class TripFacts:
    """Everything known about a trip, and the rows it named."""

    snapshot: Snapshot
    standing: Standing
    driver: UUID | None
    driver_name: str
    load: UUID | None


def trip_facts(trip: Trip, *, now: datetime) -> TripFacts:
    """Everything known about one trip, in one statement. Fetch the units with their cooling-unit details.

    Invalid `load_unknown`, `person_unknown`; NotFound `carrier_missing`.
    """
    gathered = gather(fact_rows([unit.pk for unit in trip.units], as_of=now, asked=trip.asked))
    standing = _standing(gathered)
    catalogue, conditions = catalogue_in_force(standing.policies), _conditions(standing)
    driver = _named(gathered, "driver", trip.asked.driver, "person_unknown", "/driver")
    load = _named(gathered, "load", trip.asked.load, "load_unknown", "/load")
    office = gathered.of(None, "document")
    held = [row for row in office if row["person"]]
    snapshot = Snapshot(
        as_of=now,
        zone=ZoneInfo(standing.zone),
        units=tuple(unit_facts(unit, gathered, catalogue, conditions[unit.kind]) for unit in trip.units),
        trip=TripFact(trip.departure, trip.arrival),
        load=None if load is None else _load_fact(load[1]),
        driver=None if driver is None else DriverFact(str(driver[0]), papers_of("person", held, conditions["person"])),
        carrier_papers=papers_of("carrier", [row for row in office if not row["person"]], conditions["carrier"]),
        loads_at_risk=tuple(_risks(trip.units, gathered)),
        joined=_joined(trip.units, gathered),
        policy=clearance_policy(standing),
    )
    return TripFacts(
        snapshot=snapshot,
        standing=standing,
        driver=None if driver is None else driver[0],
        driver_name="" if driver is None else driver[1]["name"],
        load=None if load is None else load[0],
    )


def yard_snapshots(units: Sequence[Unit], *, now: datetime) -> tuple[Standing, list[Snapshot]]:
    """A snapshot for each group that runs together among the units as they stand, in one statement for all."""
    gathered = gather(fact_rows([unit.pk for unit in units], as_of=now, asked=Asked()))
    standing = _standing(gathered)
    catalogue, conditions = catalogue_in_force(standing.policies), _conditions(standing)
    zone, policy = ZoneInfo(standing.zone), clearance_policy(standing)
    office = [row for row in gathered.of(None, "document") if not row["person"]]
    carrier_papers = papers_of("carrier", office, conditions["carrier"])
    return standing, [
        Snapshot(
            as_of=now,
            zone=zone,
            units=tuple(unit_facts(unit, gathered, catalogue, conditions[unit.kind]) for unit in group),
            carrier_papers=carrier_papers,
            loads_at_risk=tuple(_risks(group, gathered)),
            policy=policy,
        )
        for group in _groups(units, gathered)
    ]


def _standing(gathered: Gathered) -> Standing:
    found = next(gathered.every("carrier"), None)
    if found is None:
        raise NotFound("carrier_missing")
    return standing_of(found[1]["zone"], found[1]["decided"])


def _named(
    gathered: Gathered, kind: str, name: str, unknown: str, pointer: str
) -> tuple[UUID, dict[str, Any]] | None:
    found = next(gathered.every(kind), None)
    if name and found is None:
        raise Invalid(unknown, pointer=pointer)
    return found


def _load_fact(load: Mapping[str, Any]) -> LoadFact:
    """The load as the rules take it. What was compared or checked of it is written on the load itself."""
    setpoint = load["setpoint_f"]
    return LoadFact(
        temperature_class=TemperatureClass(load["temperature_class"]),
        setpoint_f=None if setpoint is None else Decimal(setpoint),
        pre_loaded=load["pre_loaded"] or load["loaded_at"] is not None,
        pre_load_checked=load["pre_load_checked_at"] is not None,
        sealed=bool(load["seal"]),
        seal_checked=load["seal_checked_at"] is not None,
        states=frozenset(load["states"]),
    )


def clearance_policy(standing: Standing) -> ClearancePolicy:
    """The carrier's decisions in force, each with our own default."""
    decided = standing.policies
    hours: Any = decided.get("clearance_buffer_hours", 24)
    walk: Any = decided.get("walk_valid_hours", 24)
    return ClearancePolicy(
        document_margin=timedelta(hours=hours),
        walk_valid_for=timedelta(hours=walk),
        reading=Reading(str(decided.get("periodic_inspection_reading", Reading.BY_DAY))),
        small_carrier=bool(decided.get("small_carrier_lift", False)),
    )


def _conditions(standing: Standing) -> Mapping[str, frozenset[str]]:
    decided: Any = standing.policies.get(PAPER_CONDITIONS) or {}
    return defaultdict(frozenset, {subject: frozenset(facts) for subject, facts in decided.items()})


def _risks(units: Iterable[Unit], gathered: Gathered) -> Iterable[LoadAtRiskFact]:
    for unit in units:
        for row in gathered.of(unit.pk, "risk"):
            decided = row["decided_at"]
            yield LoadAtRiskFact(
                number=row["id"],
                unit=str(unit),
                since=datetime.fromisoformat(row["since"]),
                decided_at=None if decided is None else datetime.fromisoformat(decided),
            )


def _joined(units: Sequence[Unit], gathered: Gathered) -> bool:
    """Whether the units run together as recorded: one coupling for all on the road, each cooling unit on one of them."""
    road = [unit for unit in units if unit.kind != UnitKind.COOLING_UNIT]
    trailers = {str(unit.pk) for unit in road}
    mounted = all(
        any(row["trailer"] in trailers for row in gathered.of(unit.pk, "mounting"))
        for unit in units
        if unit.kind == UnitKind.COOLING_UNIT
    )
    couplings = {row["coupling"] for unit in road for row in gathered.of(unit.pk, "coupling")}
    coupled = len(couplings) == 1 and all(gathered.of(unit.pk, "coupling") for unit in road)
    return mounted and (len(road) == 1 or coupled)


def _groups(units: Sequence[Unit], gathered: Gathered) -> list[list[Unit]]:
    """The units by the combination they stand in; a cooling unit goes with its trailer where that is asked for too."""
    groups: dict[str, list[Unit]] = {}
    trailers = {str(unit.pk): unit for unit in units}
    for unit in units:
        carrier = next((trailers.get(str(row["trailer"])) for row in gathered.of(unit.pk, "mounting")), None)
        leader = carrier or unit
        key = next((row["coupling"] for row in gathered.of(leader.pk, "coupling")), str(leader.pk))
        groups.setdefault(key, []).append(unit)
    return list(groups.values())
