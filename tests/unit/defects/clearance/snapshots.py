"""Snapshots for the tests of the answer to dispatch: a combination with nothing against it, and ways to change it."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from defects.enums import Authority, Bars, Listing, Severity, TemperatureClass
from defects.rules.catalogue.closed_sets import PartGroup
from defects.rules.clearance.snapshot import LoadFact, Snapshot, TripFact
from defects.rules.clearance.unit_facts import (
    DefectFact,
    DocumentFact,
    FuelFact,
    LeftFact,
    LookFact,
    UnitFacts,
    WalkFact,
)
from fleet.enums import UnitKind
from fleet.rules.documents.periods import PeriodEnd
from fleet.rules.documents.states import Span

Changes = dict[str, Any]
ZONE = ZoneInfo("America/Chicago")
NOW = datetime(2026, 3, 10, 14, tzinfo=UTC)
LEAVE = NOW + timedelta(hours=2)
ARRIVE = LEAVE + timedelta(hours=10)


def held(
    kind: str = "registration",
    last: date | None = date(2026, 12, 31),
    *,
    month_end: date | None = None,
    needed_in: str = "",
    starts: date | None = None,
    bars: bool = True,
) -> DocumentFact:
    return DocumentFact(kind, (Span(starts, PeriodEnd(last, month_end)),), f"source of {kind}", bars, needed_in)


def missing(kind: str = "registration", *, needed_in: str = "", bars: bool = True) -> DocumentFact:
    return DocumentFact(kind, (), f"source of {kind}", bars, needed_in)


def defect(number: int = 1, **changes: Any) -> DefectFact:
    plain = DefectFact(
        number=number,
        point="lamps.rear.turn",
        place="rear left",
        severity=Severity.BEFORE_NEXT_USE,
        bars=Bars.MOVEMENT,
        authority=Authority.STATUTORY,
        listing=Listing.NOTED,
        rule="lamps.rear.turn#out",
        since=NOW - timedelta(days=1),
    )
    return replace(plain, **changes)


def cold_defect(number: int = 9, **changes: Any) -> DefectFact:
    plain = {
        "severity": Severity.NEXT_SHOP_VISIT,
        "bars": Bars.COLD_FREIGHT,
        "authority": Authority.CARRIER,
        "point": "box.door-seal",
    }
    return defect(number, **(plain | changes))


def left(point: str = "cab.horn", **changes: Any) -> LeftFact:
    """A statutory place that the walk asks every time and that nothing was said of."""
    plain = LeftFact(point, "", PartGroup.HORN, statutory=True, behind_seal=False, why="no_answer", required=True)
    return replace(plain, **changes)


def look(*rows: LeftFact, hours: float = 1, by: str = "ada", answers: tuple[str, ...] = (), **more: Any) -> LookFact:
    """A walk-around of so many hours ago that left these places; `answers` are points of others that it answers."""
    answered = frozenset((point, "") for point in answers)
    return LookFact(NOW - timedelta(hours=hours), by, left=rows, answers=answered, **more)


def unit(ref: str = "NL-11", kind: UnitKind = UnitKind.TRACTOR, **changes: Any) -> UnitFacts:
    vehicle = kind is not UnitKind.COOLING_UNIT
    plain = UnitFacts(
        ref,
        kind,
        documents=(held(), held("periodic_inspection", date(2026, 11, 30))) if vehicle else (),
        walk=WalkFact(NOW - timedelta(hours=1), "ada"),
        service_brakes={UnitKind.TRACTOR: 6, UnitKind.TRAILER: 4, UnitKind.COOLING_UNIT: None}[kind],
        fuel=None if vehicle else FuelFact(NOW, Decimal(45), Decimal("0.5"), tank_gal=Decimal(50)),
    )
    return replace(plain, **changes)


def combination(
    *, tractor: Changes | None = None, trailer: Changes | None = None, cooling: Changes | None = None
) -> tuple[UnitFacts, ...]:
    return (
        unit("NL-11", **(tractor or {})),
        unit("LR-41", UnitKind.TRAILER, **(trailer or {})),
        unit("CU-41", UnitKind.COOLING_UNIT, **(cooling or {})),
    )


def load(temperature_class: TemperatureClass = TemperatureClass.FROZEN, **changes: Any) -> LoadFact:
    setpoint = None if temperature_class is TemperatureClass.DRY else Decimal(-10)
    return replace(LoadFact(temperature_class, setpoint), **changes)


def snapshot(**changes: Any) -> Snapshot:
    plain = Snapshot(NOW, ZONE, combination(), TripFact(LEAVE, ARRIVE, Decimal(400)), load())
    return replace(plain, **changes)


def with_units(**by_kind: Any) -> Snapshot:
    """A snapshot of the plain combination with changes to its units, by `tractor`, `trailer`, `cooling`."""
    return snapshot(units=combination(**by_kind))
