"""What trips and the yard have in common: the carrier's decisions, the loads aboard, what stands with what."""

import logging
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal
from functools import cached_property
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from common.errors import or_not_found
from defects.enums import RiskState, TemperatureClass
from defects.rules.clearance.snapshot import (
    ClearancePolicy,
    LoadAtRiskFact,
    LoadFact,
    OtherLoadFact,
    PermitFact,
    WeighedFact,
)
from defects.rules.clearance.unit_facts import DocumentFact, UnitFacts
from defects.selectors.catalogue.catalogue import catalogue_documents, catalogue_in_force
from defects.selectors.clearance.documents import documents_of
from defects.selectors.clearance.units import Gathered, Reading, unit_facts
from defects.selectors.clearance.weight_rows import weighed_of
from fleet.enums import UnitKind
from fleet.models import Unit
from fleet.rules.carrier.policies import POLICIES
from fleet.rules.documents.periods import Reading as DocumentReading
from fleet.selectors.carrier.carrier import EffectivePolicies, effective_of

logger = logging.getLogger(__name__)

DOCUMENT_CONDITIONS = "document_conditions"
"""The policy that says which conditional documents the carrier's units, drivers and itself should have."""

DRIVES = frozenset({"drives"})
"""What a driver who is named meets by that: the condition of the documents of those who drive."""

LoadRow = Mapping[str, Any]


@dataclass(frozen=True)
class ClearanceContext:
    """All rows that were read in one statement, and what the carrier had decided when they were."""

    gathered: Gathered
    effective: EffectivePolicies

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.effective.zone)

    @cached_property
    def conditions(self) -> Mapping[str, AbstractSet[str]]:
        """By subject, the conditions of documents that it meets."""
        decided: Any = self.effective.policies.get(DOCUMENT_CONDITIONS) or {}
        return defaultdict(frozenset, {subject: frozenset(facts) for subject, facts in decided.items()})

    @cached_property
    def reading(self) -> Reading:
        """One statement where recent walk-arounds left something and were made by another catalogue."""
        in_force = catalogue_in_force(self.effective.policies)
        looks = [row for _, row in self.gathered.every("look")]
        listed = {row["catalogue"] for row in looks} if any(row["left"] for row in looks) else set()
        older = catalogue_documents(listed - {in_force.content_hash})
        return Reading(in_force, self.conditions, frozenset(self._running()), older)

    @cached_property
    def policy(self) -> ClearancePolicy:
        """The carrier's decisions that clearance asks for, each with our own default."""
        decided = {key: self.effective.policies.get(key, known.default) for key, known in POLICIES.items()}
        margin: Any = decided["clearance_buffer_hours"]
        walk: Any = decided["walk_valid_hours"]
        reserve: Any = decided["fuel_reserve_gal"]
        return ClearancePolicy(
            document_margin=timedelta(hours=margin),
            walk_valid_for=timedelta(hours=walk),
            fuel_reserve_gal=reserve,
            reading=DocumentReading(str(decided["periodic_inspection_reading"])),
            small_carrier=bool(decided["small_carrier_lift"]),
        )

    @cached_property
    def carrier_documents(self) -> tuple[DocumentFact, ...]:
        """The documents that the carrier itself should have."""
        office = [row for row in self.gathered.of(None, "document") if not row["person"]]
        return documents_of("carrier", office, self.conditions["carrier"])

    def driver_documents(self, driver: UUID) -> tuple[DocumentFact, ...]:
        """The documents that a driver should have to drive."""
        own = [row for row in self.gathered.of(None, "document") if row["person"] == str(driver)]
        return documents_of("person", own, DRIVES)

    @cached_property
    def loads(self) -> Sequence[LoadRow]:
        """The load that was asked for and those aboard."""
        return [row for _, row in self.gathered.every("load")]

    def units(self, units: Iterable[Unit]) -> tuple[UnitFacts, ...]:
        """The facts of units that are to run together; a cooling unit is coupled to nothing."""
        together = tuple(units)
        road = {unit.pk for unit in together if unit.kind != UnitKind.COOLING_UNIT}
        return tuple(self._facts(unit, road - {unit.pk} if unit.pk in road else frozenset()) for unit in together)

    def aboard(self, units: Iterable[Unit]) -> LoadRow | None:
        """The load in one of these trailers; of several the one that needs a temperature."""
        return min(self._all_aboard(units), key=lambda row: (not _is_cold(row), row["number"]), default=None)

    def other_loads(self, units: Sequence[Unit], load: LoadRow | None) -> tuple[OtherLoadFact, ...]:
        """The loads in these trailers besides the one that the answer is about, which may need the place of one."""
        trailers = {str(unit.pk): str(unit) for unit in units if unit.kind == UnitKind.TRAILER}
        waits = load is not None and not is_aboard(load)
        wanted = {load["trailer"]} if load is not None and load["trailer"] in trailers else trailers.keys()
        return tuple(
            OtherLoadFact(row["number"], trailers[row["trailer"]], waits and wanted == {row["trailer"]})
            for row in self._all_aboard(units)
            if load is None or row["id"] != load["id"]
        )

    def weighed(self, units: Sequence[Unit], load: LoadRow | None) -> WeighedFact | None:
        """What the newest scale tickets say of the load that lies in one of these trailers."""
        if load is None or not is_aboard(load):
            return None
        return weighed_of(self.gathered.of(UUID(load["id"]), "ticket"), units)

    def _all_aboard(self, units: Iterable[Unit]) -> list[LoadRow]:
        trailers = {str(unit.pk) for unit in units}
        return [row for row in self.loads if is_aboard(row) and row["trailer"] in trailers]

    def risks(self, units: Iterable[Unit]) -> tuple[LoadAtRiskFact, ...]:
        """The loads at risk in these trailers."""
        return tuple(_risk(unit, row) for unit in units for row in self.gathered.of(unit.pk, "risk"))

    def trailer_under(self, unit: Unit) -> str | None:
        """The key of the trailer that a cooling unit is mounted on."""
        return next((str(row["trailer"]) for row in self.gathered.of(unit.pk, "mounting")), None)

    def coupling_of(self, unit: Unit) -> str | None:
        """The key of the combination that a unit is recorded in."""
        return next((str(row["coupling"]) for row in self.gathered.of(unit.pk, "coupling")), None)

    def _facts(self, unit: Unit, runs_with: AbstractSet[UUID]) -> UnitFacts:
        try:
            return unit_facts(unit, self.gathered, self.reading, runs_with)
        except Exception:  # whatever is wrong with one record, the other units are answered for
            logger.exception("the records of unit %s cannot be read", unit.pk)
            kind = UnitKind(unit.kind) if unit.kind in set(UnitKind) else None
            return UnitFacts(str(unit), kind, unreadable=True)

    def _running(self) -> Iterable[UUID]:
        """The cooling units under a cold load: they burn fuel, whether they roll or wait."""
        cold = {row["trailer"] for row in self.loads if is_aboard(row) and _is_cold(row)}
        return (unit for unit, row in self.gathered.every("mounting") if row["trailer"] in cold)


def context_of(gathered: Gathered) -> ClearanceContext:
    """NotFound `carrier_missing` before the carrier is recorded."""
    found = or_not_found(next(gathered.every("carrier"), None), "carrier_missing")
    return ClearanceContext(gathered, effective_of(found[1]["zone"], found[1]["decided"]))


def load_fact(load: LoadRow, driver: str = "") -> LoadFact:
    """The load as the rules take it. Where a driver is named, it is that driver who must have compared the seal."""
    compared_by = load["seal_checked_by"]
    return LoadFact(
        temperature_class=_class_of(load),
        setpoint_f=_decimal(load["setpoint_f"]),
        food=load["food"],
        pre_loaded=is_aboard(load),
        pre_load_checked=load["pre_load_checked_at"] is not None,
        sealed=bool(load["seal"]),
        seal_read=load["seal_read"] if load["seal_read_at"] and not load["seal_decided_at"] else "",
        seal_checked=compared_by is not None and driver in {"", compared_by},
        us_states=frozenset(load["us_states"]),
        weighs=load["weight_lb"] is not None,
        permits=tuple(_permit(permit) for permit in load["permits"]),
    )


def _permit(stored: Mapping[str, Any]) -> PermitFact:
    days = {name: date.fromisoformat(stored[name]) for name in ("starts_on", "ends_on")}
    return PermitFact(**{**stored, **days})


def _decimal(stored: str | None) -> Decimal | None:
    return None if stored is None else Decimal(stored)


def _instant(stored: str | None) -> datetime | None:
    return None if stored is None else datetime.fromisoformat(stored)


def is_aboard(load: LoadRow) -> bool:
    """Whether the load is in a trailer."""
    return load["loaded_at"] is not None and load["delivered_at"] is None


def _is_cold(load: LoadRow) -> bool:
    return _class_of(load).is_cold


def _class_of(load: LoadRow) -> TemperatureClass:
    """What a load needs of the box; one of a class that a newer release brought is taken to need it chilled."""
    found = load["temperature_class"]
    return TemperatureClass(found) if found in set(TemperatureClass) else TemperatureClass.CHILLED


def _risk(unit: Unit, row: Mapping[str, Any]) -> LoadAtRiskFact:
    return LoadAtRiskFact(
        number=row["id"],
        unit=str(unit),
        since=datetime.fromisoformat(row["since"]),
        decided_at=_instant(row["decided_at"]),
        disposed=row["state"] == RiskState.CLOSED,
        cause=row["cause"],
        facts=tuple(row["facts"].items()),
        cause_at=_instant(row["cause_at"]),
    )
