"""A large yard in a few statements: combinations with axles, documents and walks, every third of them with faults.

Stored by `bulk_create`, because making thousands of units through the services would take minutes. The rows are those
that the services would leave, as far as reading the yard can tell; no history is written.
"""

import datetime as dt
from collections.abc import Iterator
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import islice
from typing import Any

from django.db.backends.postgresql.psycopg_any import DateTimeTZRange

from common import clock
from common.ids import uuid7
from defects.enums import Authority, Bars, DefectState, HoldKind, Listing, Severity
from defects.models import CatalogueVersion, Defect, Hold, Report, Walkaround
from defects.rules.catalogue.catalogue import load_catalogue
from defects.selectors.catalogue.catalogue import catalogue_in_force
from fleet.enums import SignatureMethod, SignaturePurpose, UnitKind
from fleet.models import (
    Axle,
    CoolingForecast,
    CoolingUnitDetails,
    Coupling,
    CouplingMember,
    Document,
    Mounting,
    Person,
    Signature,
    TractorDetails,
    TrailerDetails,
    Unit,
)
from fleet.selectors.carrier.carrier import effective_policies
from fleet.services.people.signatures import sign
from tests.factories.fleet import NOON

BEFORE = NOON - dt.timedelta(days=1)
KINDS = (UnitKind.TRACTOR, UnitKind.TRAILER, UnitKind.COOLING_UNIT)
PREFIX = dict(zip(KINDS, ("BT", "BR", "BC"), strict=True))
AXLES = {UnitKind.TRACTOR: ("steer", "drive", "drive"), UnitKind.TRAILER: ("trailer", "trailer")}
FAULTS = {
    UnitKind.TRACTOR: ("lamps.tractor.turn", Severity.BEFORE_NEXT_USE, Bars.MOVEMENT, Authority.STATUTORY),
    UnitKind.TRAILER: ("brakes.service.pushrod-stroke", Severity.DO_NOT_MOVE, Bars.MOVEMENT, Authority.STATUTORY),
    UnitKind.COOLING_UNIT: ("cooling.alarms", Severity.NEXT_SHOP_VISIT, Bars.COLD_FREIGHT, Authority.CARRIER),
}


@dataclass
class _Rows:
    """Rows to be stored, by their model, in an order in which each finds what it names."""

    by_model: dict[Any, list[Any]] = field(default_factory=dict)

    def add(self, row: Any) -> Any:
        self.by_model.setdefault(type(row), []).append(row)
        return row

    def store(self) -> None:
        for model, rows in self.by_model.items():
            model.objects.bulk_create(rows, batch_size=2000)


def fill_yard(count: int, actor: Person) -> None:
    """So many units of combinations: a tractor, a trailer and its cooling unit each; faults on every third."""
    rows = _Rows()
    in_force = catalogue_in_force(effective_policies(now=clock.now()).policies)
    catalogue, _ = CatalogueVersion.objects.get_or_create(
        content_hash=in_force.content_hash, defaults={"document": in_force.text, "first_used_at": BEFORE}
    )
    span = DateTimeTZRange(BEFORE, None)
    for number, kinds in enumerate(_combinations(count)):
        units = [rows.add(Unit(kind=kind, number=f"{PREFIX[kind]}-{number}", recorded_at=BEFORE)) for kind in kinds]
        for unit in units:
            _details(rows, unit, actor)
        if len(units) == len(KINDS):
            tractor, trailer, cooling_unit = units
            coupling = rows.add(Coupling(started_at=BEFORE, recorded_at=BEFORE, recorded_by=actor))
            for unit in (tractor, trailer):
                rows.add(CouplingMember(coupling=coupling, unit=unit, span=span))
            rows.add(
                Mounting(
                    trailer_id=trailer.pk,
                    cooling_unit_id=cooling_unit.pk,
                    span=span,
                    recorded_at=BEFORE,
                    recorded_by=actor,
                )
            )
        _walk(rows, units, catalogue, actor)
        if number % 3 == 0:
            for unit in units:
                _fault(rows, unit, actor)
    rows.store()


def _combinations(count: int) -> Iterator[list[UnitKind]]:
    wanted = islice((kind for _ in range(count) for kind in KINDS), count)
    while kinds := list(islice(wanted, len(KINDS))):
        yield kinds


def _details(rows: _Rows, unit: Unit, actor: Person) -> None:
    if unit.kind == UnitKind.COOLING_UNIT:
        rows.add(CoolingUnitDetails(unit=unit, tank_gal=Decimal(50), burn_gal_per_h=Decimal("0.5")))
        return
    rows.add(TractorDetails(unit=unit) if unit.kind == UnitKind.TRACTOR else TrailerDetails(unit=unit))
    for number, role in enumerate(AXLES[UnitKind(unit.kind)], 1):
        rows.add(Axle(unit=unit, number=number, role=role, dual=True, brake_type="drum"))
    for kind in ("registration", "periodic_inspection"):
        rows.add(
            Document(
                kind=kind,
                unit=unit,
                starts_on=dt.date(2025, 7, 1),
                ends_on=dt.date(2026, 6, 30),
                recorded_at=BEFORE,
                recorded_by=actor,
            )
        )


def _walk(rows: _Rows, units: list[Unit], catalogue: CatalogueVersion, actor: Person) -> None:
    at = NOON - dt.timedelta(hours=2)
    signature: Signature = rows.add(
        sign(
            purpose=SignaturePurpose.REPORT,
            signer=actor,
            token_owner=actor,
            shown="I sign.",
            content="",
            method=SignatureMethod.DRAWN,
            device="",
            signed_at=at,
            offset_minutes=0,
            now=at,
        )
    )
    walk = rows.add(
        Walkaround(
            id=uuid7(),
            kind="pre_trip",
            person=actor,
            signature=signature,
            body_hash="0" * 64,
            catalogue=catalogue,
            started_at=at,
            finished_at=at,
            performed_at=at,
            received_at=at,
            offset_minutes=0,
            skew_seconds=0,
            conditions={},
        )
    )
    for position, unit in enumerate(units):
        report = Report(
            walkaround=walk,
            position=position,
            unit=unit,
            given_unit=unit.number,
            signature=signature,
            checks=CHECKS[UnitKind(unit.kind)],
            review_due=False,
            performed_at=at,
        )
        rows.add(report)
        if unit.kind == UnitKind.COOLING_UNIT:
            rows.add(CoolingForecast(unit=unit, readings=1, fuel_gal=Decimal(45), fuel_at=at, computed_at=at))


def _fault(rows: _Rows, unit: Unit, actor: Person) -> None:
    point, severity, bars, authority = FAULTS[UnitKind(unit.kind)]
    defect = rows.add(
        Defect(
            unit=unit,
            point=point,
            place="axle-1-left" if "brakes" in point else "",
            authority=authority,
            state=DefectState.REPORTED,
            severity=severity,
            bars=bars,
            listing=Listing.NOTED if authority == Authority.CARRIER else Listing.SAFETY,
            rule=f"{point}#filled",
            counts_as_service_brake="brakes" in point,
            found_by=actor,
            found_at=BEFORE,
            recorded_at=BEFORE,
        )
    )
    if severity == Severity.DO_NOT_MOVE:
        rows.add(
            Hold(
                unit=unit,
                kind=HoldKind.CARRIER,
                defect=defect,
                reason=defect.rule,
                placed_at=BEFORE,
                placed_by=actor,
                recorded_at=BEFORE,
            )
        )


def _checks(kind: UnitKind) -> list[dict[str, object]]:
    """A walk on which every point was fine, stored as the service stores it."""
    fine = {"answer": "fine", "place": "axle-1-left"}
    return [
        {**fine, "point": name, "verdict": {"outcome": "fine", "rule": f"{name}#fine"}}
        for name, point in load_catalogue().points.items()
        if kind in set(map(str, point.unit_kinds))
        for _ in range(2)
    ]


CHECKS = {kind: _checks(kind) for kind in KINDS}
