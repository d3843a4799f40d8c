"""Laying out snapshots for the pure rules: one for a trip that dispatch asks for, one for each group of a yard."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from defects.models import Load
from defects.rules.catalogue import Catalogue
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
from defects.selectors.clearance.rows import fact_rows
from defects.selectors.clearance.units import Gathered, gather, unit_facts
from fleet.models import Unit
from fleet.rules.documents import Reading
from fleet.selectors.policies import Standing

PAPER_CONDITIONS = "paper_conditions"
"""The policy that says which conditional papers the carrier's units, drivers and itself should have."""


@dataclass(frozen=True)
class Trip:
    """What dispatch asks for: the units, and as far as it is known load, driver, departure and arrival."""

    units: Sequence[Unit]
    departure: datetime
    arrival: datetime
    load: Load | None = None
    driver: UUID | None = None


def trip_snapshot(trip: Trip, standing: Standing, *, now: datetime) -> Snapshot:
    """Everything known about one trip, in one statement. Fetch the units with their cooling-unit details."""
    gathered = gather(fact_rows([unit.pk for unit in trip.units], as_of=now, driver=trip.driver))
    catalogue, conditions = catalogue_in_force(standing.policies), _conditions(standing)
    couplings = {row["coupling"] for unit in trip.units for row in gathered.of(unit.pk, "coupling")}
    office = gathered.of(None, "document")
    return Snapshot(
        as_of=now,
        zone=ZoneInfo(standing.zone),
        units=tuple(unit_facts(unit, gathered, catalogue, conditions[unit.kind]) for unit in trip.units),
        trip=TripFact(trip.departure, trip.arrival),
        load=None if trip.load is None else load_fact(trip.load),
        driver=None
        if trip.driver is None
        else DriverFact(str(trip.driver), papers_of("person", [r for r in office if r["person"]], conditions["person"])),
        carrier_papers=papers_of("carrier", [row for row in office if not row["person"]], conditions["carrier"]),
        loads_at_risk=tuple(_risks(trip.units, gathered)),
        joined=_joined(trip.units, gathered, couplings),
        policy=clearance_policy(standing),
    )


def yard_snapshots(units: Sequence[Unit], standing: Standing, *, now: datetime) -> list[Snapshot]:
    """A snapshot for each group that runs together among the units as they stand, in one statement for all."""
    gathered = gather(fact_rows([unit.pk for unit in units], as_of=now, driver=None))
    catalogue, conditions = catalogue_in_force(standing.policies), _conditions(standing)
    zone, policy = ZoneInfo(standing.zone), clearance_policy(standing)
    office = [row for row in gathered.of(None, "document") if not row["person"]]
    carrier_papers = papers_of("carrier", office, conditions["carrier"])
    return [
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


def load_fact(load: Load) -> LoadFact:
    """The load as the rules take it. What was compared or checked of it is written on the load itself."""
    return LoadFact(
        temperature_class=TemperatureClass(load.temperature_class),
        setpoint_f=load.setpoint_f,
        pre_loaded=load.pre_loaded or load.loaded_at is not None,
        pre_load_checked=load.pre_load_checked_at is not None,
        sealed=bool(load.seal),
        seal_checked=load.seal_checked_at is not None,
        states=frozenset(load.states),
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


def _joined(units: Sequence[Unit], gathered: Gathered, couplings: set[str]) -> bool:
    """Whether the units run together as recorded: one coupling for all on the road, each cooling unit on one of them."""
    road = [unit for unit in units if unit.kind != "cooling_unit"]
    mounted = all(
        any(str(row["trailer"]) in {str(other.pk) for other in road} for row in gathered.of(unit.pk, "mounting"))
        for unit in units
        if unit.kind == "cooling_unit"
    )
    together = len(road) < 2 or (len(couplings) == 1 and all(gathered.of(unit.pk, "coupling") for unit in road))  # noqa: PLR2004
    return mounted and together


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
