"""Rows of facts become the frozen facts of each unit that the pure rules weigh."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from defects.rules.catalogue import Catalogue
from defects.rules.clearance import (
    DefectFact,
    DeferralFact,
    FuelFact,
    HoldBy,
    HoldFact,
    MeterFact,
    NotReachedFact,
    OthersFact,
    RefusalFact,
    RepairedFact,
    ReportFact,
    UnitFacts,
    WalkFact,
)
from defects.rules.vocabulary import Bars, PartGroup, Severity, Standing, UnitKind
from defects.selectors.clearance.papers import papers_of, span_of
from defects.selectors.clearance.rows import FactRow
from fleet.models import CoolingUnitDetails, Unit

STROKE = "brakes.service.pushrod-stroke"
PERIODIC_INSPECTION = "periodic_inspection"

Rows = Mapping[str, Sequence[dict[str, Any]]]
"""The rows of one unit, by their kind."""


@dataclass(frozen=True)
class Gathered:
    """All rows, by unit and kind; those of no unit stand under None."""

    rows: Mapping[UUID | None, Rows]

    def of(self, unit: UUID | None, kind: str) -> Sequence[dict[str, Any]]:
        """The rows of one kind of one unit."""
        return self.rows.get(unit, {}).get(kind, ())

    def every(self, kind: str) -> Iterator[tuple[UUID, dict[str, Any]]]:
        """The rows of one kind that stand by themselves, with their keys."""
        return ((key, row) for key, kinds in self.rows.items() if key is not None for row in kinds.get(kind, ()))


def gather(rows: Iterable[FactRow]) -> Gathered:
    """Sort rows by unit and kind."""
    sorted_rows: dict[UUID | None, dict[str, list[dict[str, Any]]]] = defaultdict(lambda: defaultdict(list))
    for row in rows:
        sorted_rows[row.unit][row.kind].append(row.body)
    return Gathered(sorted_rows)


def unit_facts(
    unit: Unit, gathered: Gathered, catalogue: Catalogue, paper_facts: AbstractSet[str] = frozenset()
) -> UnitFacts:
    """Everything for or against one unit. `paper_facts` decide which papers it should have."""
    rows = gathered.rows.get(unit.pk, {})
    return UnitFacts(
        ref=str(unit),
        kind=UnitKind(unit.kind),
        others=None if unit.ours else _others(unit, rows),
        holds=tuple(_hold(row) for row in rows.get("hold", ())),
        defects=tuple(_defect(row) for row in rows.get("defect", ())),
        papers=papers_of(unit.kind, rows.get("document", ()), paper_facts),
        reports_to_review=tuple(ReportFact(row["id"], _instant(row["at"])) for row in rows.get("report", ())),
        refusals=tuple(RefusalFact(row["id"], _instant(row["at"])) for row in rows.get("refusal", ())),
        walk=next((WalkFact(_instant(row["at"]), row["by"]) for row in rows.get("walk", ())), None),
        not_reached=tuple(_not_reached(rows.get("walk", ()), catalogue)),
        service_brakes=_service_brakes(unit.kind, rows.get("axles", ())),
        meters=_meters(rows.get("meter", ())),
        fuel=_fuel(unit, rows.get("fuel", ())),
    )


def _hold(row: dict[str, Any]) -> HoldFact:
    return HoldFact(
        number=str(row["number"]),
        by=HoldBy(row["by"]),
        since=_instant(row["since"]),
        expected_at=_maybe_instant(row["expected_at"]),
    )


def _defect(row: dict[str, Any]) -> DefectFact:
    over = None
    if row["point"] == STROKE and row["value"] is not None and row["limit"] is not None:
        over = _decimal(row["value"]) - _decimal(row["limit"])
    return DefectFact(
        number=str(row["number"]),
        point=row["point"] or row["text"],
        place=row["place"],
        severity=Severity(row["severity"]),
        bars=Bars(row["bars"]),
        standing=Standing(row["standing"]),
        since=_instant(row["since"]),
        source=row["source"],
        graded=row["graded"],
        certificate=_certificate(row),
        counts_as_service_brake=row["counts"],
        on_steering_axle=row["steering"],
        over_in=over,
        expected_at=_maybe_instant(row["expected_at"]),
    )


def _certificate(row: dict[str, Any]) -> RepairedFact | DeferralFact | None:
    """The certificate in force: repaired while the review is owed, deferred while the repair is put off."""
    if row["state"] == "certified":
        return RepairedFact(_instant(row["certified_at"]))
    if row["state"] != "deferred":
        return None
    return DeferralFact(
        at=_instant(row["certified_at"]),
        limit_on=None if row["limit_on"] is None else date.fromisoformat(row["limit_on"]),
        limit_mi=None if row["limit_mi"] is None else _decimal(row["limit_mi"]),
        limit_engine_h=None if row["limit_engine_h"] is None else _decimal(row["limit_engine_h"]),
    )


def _others(unit: Unit, rows: Rows) -> OthersFact:
    inspected = [
        span_of(row).starts_on for row in rows.get("document", ()) if row["kind"] == PERIODIC_INSPECTION
    ]
    return OthersFact(inspected_on=next(iter(inspected), None), plate=unit.plate, owner=unit.owner)


def _not_reached(walks: Sequence[dict[str, Any]], catalogue: Catalogue) -> Iterable[NotReachedFact]:
    """What the last walk left unknown, once for each part group and reason."""
    for walk in walks:
        seen: set[tuple[PartGroup, str]] = set()
        for check in walk["unknown"]:
            point = catalogue.get(check["point"])
            if point is None or check["verdict"].get("severity") is not None:
                continue
            why = check.get("reason", "other") if check["answer"] == "not_reached" else "queried"
            if (point.part_group, why) not in seen:
                seen.add((point.part_group, why))
                yield NotReachedFact(point.part_group, why, _instant(walk["at"]))


def _service_brakes(kind: str, axles: Sequence[dict[str, Any]]) -> int | None:
    """Two for each axle; not known unless every axle says what brakes it has."""
    if kind == UnitKind.COOLING_UNIT:
        return 0
    if not axles or axles[0]["without"]:
        return None
    return 2 * int(axles[0]["axles"])


def _meters(meters: Sequence[dict[str, Any]]) -> MeterFact:
    totals = {row["meter"]: _decimal(row["total"]) for row in meters}
    return MeterFact(odometer_mi=totals.get("odometer_mi"), engine_h=totals.get("engine_h"))


def _fuel(unit: Unit, fuel: Sequence[dict[str, Any]]) -> FuelFact | None:
    """The tank at its last measurement."""
    if unit.kind != UnitKind.COOLING_UNIT or not fuel:
        return None
    details: CoolingUnitDetails = unit.cooling_unit
    row = fuel[0]
    return FuelFact(
        at=_instant(row["at"]),
        level_gal=_decimal(row["value"]),
        burn_gal_per_h=details.burn_gal_per_h,
        tank_gal=details.tank_gal,
        unusable_gal=details.unusable_gal,
    )


def _instant(text: str) -> datetime:
    return datetime.fromisoformat(text)


def _maybe_instant(text: str | None) -> datetime | None:
    return None if text is None else datetime.fromisoformat(text)


def _decimal(number: Decimal | int | str) -> Decimal:
    return Decimal(number)
