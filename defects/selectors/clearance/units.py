"""Rows of facts become the frozen facts of each unit that the pure rules weigh."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from common.measures import number
from defects.enums import Authority, Bars, DefectState, HoldKind, Severity
from defects.rules.catalogue.catalogue import Catalogue
from defects.rules.certificates import GradedFinding, may_be_dismissed
from defects.rules.clearance.answer import Facts
from defects.rules.clearance.unit_facts import (
    AirFact,
    CertificateFact,
    DefectFact,
    DeferralFact,
    FuelFact,
    HoldFact,
    LimitedMoveFact,
    MeterFact,
    RefusalFact,
    RepairedFact,
    ReportFact,
    ThirdPartyFact,
    UnitFacts,
    WalkFact,
    WorkFact,
)
from defects.rules.defects.judgement import COLUMNS
from defects.selectors.clearance.documents import documents_of, span_of
from defects.selectors.clearance.fact_row import FactRow
from defects.selectors.clearance.looks import looks_of, who_walked_coupling
from fleet.enums import UnitKind
from fleet.models import Unit
from fleet.rules.cooling.fuel import Burn, Lost
from fleet.rules.cooling.pull_down import Approach

STROKE = "brakes.service.pushrod-stroke"
PERIODIC_INSPECTION = "periodic_inspection"
CLOSED_SETS = {"severity": Severity, "bars": Bars, "authority": Authority}
"""The columns of a judgement that are compared as members."""

Rows = Mapping[str, Sequence[dict[str, Any]]]
"""The rows of one unit, by their kind."""


@dataclass(frozen=True)
class Gathered:
    """All rows, by unit and kind; those of no unit stand under None."""

    rows: Mapping[UUID | None, Rows]

    def of(self, unit: UUID | None, kind: str) -> Sequence[dict[str, Any]]:
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


@dataclass(frozen=True)
class Reading:
    """What the rows of units are read by: the catalogue, the documents asked for, and the units with a cold load.

    `document_facts` by kind of unit; a `running` cooling unit burns fuel while it waits. `older` are the documents of
    other catalogues by which recent walk-arounds were made, by their hash.
    """

    catalogue: Catalogue
    document_facts: Mapping[str, AbstractSet[str]]
    running: AbstractSet[UUID] = frozenset()
    older: Mapping[str, str] = field(default_factory=dict)


def unit_facts(unit: Unit, gathered: Gathered, reading: Reading, runs_with: Iterable[UUID] = ()) -> UnitFacts:
    """Everything for or against one unit that is to run with others."""
    rows = gathered.rows.get(unit.pk, {})
    others = [gathered.of(other, "look") for other in runs_with]
    coupled_since = next((row["since"] for row in rows.get("coupling", ())), None)
    held = rows.get("document", ())
    documents = documents_of(unit.kind, held, reading.document_facts[unit.kind])
    return UnitFacts(
        ref=str(unit),
        kind=UnitKind(unit.kind),
        others=None if unit.ours else _others(unit, rows),
        holds=tuple(_hold(row) for row in rows.get("hold", ())),
        limited_moves=tuple(_limited_move(row) for row in rows.get("move", ())),
        work=tuple(_work(row) for row in rows.get("work", ())),
        defects=tuple(_defect(row, reading.catalogue) for row in rows.get("defect", ())),
        documents=documents if unit.ours else tuple(document for document in documents if document.spans),
        reports_to_review=tuple(ReportFact(row["id"], _instant(row["at"])) for row in rows.get("report", ())),
        certificates_to_review=tuple(
            CertificateFact(row["id"], _instant(row["at"])) for row in rows.get("certificate", ())
        ),
        refusals=tuple(RefusalFact(row["id"], _instant(row["at"])) for row in rows.get("refusal", ())),
        walk=next((_walk(row) for row in rows.get("walk", ())), None),
        looks=looks_of(unit.kind, rows.get("look", ()), reading.catalogue, reading.older),
        coupling_walked_by=who_walked_coupling(rows.get("look", ()), others, coupled_since),
        service_brakes=_service_brakes(unit.kind, rows.get("axles", ())),
        axles_recorded=unit.kind == UnitKind.COOLING_UNIT or bool(rows.get("axles")),
        full_walk_due=not any(row["at"] for row in rows.get("full_walk", ())),
        meters=_meters(rows.get("meter", ())),
        left=_left(rows.get("left", ())),
        fuel_lost=_fuel_lost(rows.get("cooling", ())),
        fuel=_fuel(rows, running=unit.pk in reading.running),
        air=_air(rows),
    )


def _hold(row: dict[str, Any]) -> HoldFact:
    return HoldFact(
        number=row["number"],
        by=HoldKind(row["by"]),
        since=_instant(row["since"]),
        expected_at=_maybe_instant(row["expected_at"]),
        defect=row["defect"],
        reason="" if row["defect"] else row["reason"],
        said=(("point", row["point"] or row["text"]), ("place", row["place"]), *_said(row)) if row["defect"] else (),
    )


def _limited_move(row: dict[str, Any]) -> LimitedMoveFact:
    return LimitedMoveFact(
        to_place=row["to_place"],
        distance_mi=_decimal(row["distance_mi"]),
        ends_at=_instant(row["ends_at"]),
        driver=row["driver"],
        conditions=row["conditions"],
        from_mi=_maybe_decimal(row["from_mi"]),
    )


def _work(row: dict[str, Any]) -> WorkFact:
    return WorkFact(
        order=row["order"],
        what=row["what"],
        since=_instant(row["since"]),
        undone=row["undone"],
        expected_at=_maybe_instant(row["expected_at"]),
        cold_freight_too=row["cold_freight_too"],
    )


def _defect(row: dict[str, Any], catalogue: Catalogue) -> DefectFact:
    point = catalogue.get(row["point"])
    finding = GradedFinding(row["severity"], row["bars"], row["regulation_severity"])
    over = None
    if row["point"] == STROKE and row["value"] is not None and row["limit_value"] is not None:
        over = _decimal(row["value"]) - _decimal(row["limit_value"])
    judged = {name: row[name] for name in COLUMNS}
    return DefectFact(
        **{**judged, **{name: closed(row[name]) for name, closed in CLOSED_SETS.items()}},
        number=row["number"],
        point=row["point"] or row["text"],
        place=row["place"],
        since=_instant(row["since"]),
        certificate=_certificate(row),
        over_in=over,
        expected_at=_maybe_instant(row["expected_at"]),
        must_be_repaired=not may_be_dismissed(finding, measured_within=False),
        said=tuple(_said(row)),
        ends_by_driver=point is not None and point.ends_by_driver,
    )


def _said(row: dict[str, Any]) -> Iterator[tuple[str, str]]:
    """What is wrong: the finding, the value with its limit, or the finder's words to a point."""
    for name in ("finding", "unit_of_measure"):
        if row[name]:
            yield name, row[name]
    for name, column in (("value", "value"), ("limit", "limit_value")):
        if row[column] is not None:
            yield name, number(_decimal(row[column]))
    if row["point"] and not row["finding"] and row["value"] is None and row["text"]:
        yield "text", row["text"]


def _certificate(row: dict[str, Any]) -> RepairedFact | DeferralFact | None:
    """The certificate in force: repaired while the review is due, deferred while the repair is put off."""
    if row["state"] == DefectState.CERTIFIED:
        return RepairedFact(_instant(row["certified_at"]), photo_awaited=row["photo_awaited"])
    if row["state"] != DefectState.DEFERRED:
        return None
    return DeferralFact(
        at=_instant(row["certified_at"]),
        limit_on=None if row["limit_on"] is None else date.fromisoformat(row["limit_on"]),
        limit_mi=_maybe_decimal(row["limit_mi"]),
        limit_engine_h=_maybe_decimal(row["limit_engine_h"]),
    )


def _others(unit: Unit, rows: Rows) -> ThirdPartyFact:
    inspected = [span_of(row).starts_on for row in rows.get("document", ()) if row["kind"] == PERIODIC_INSPECTION]
    plate = next((row["plate"] for row in rows.get("details", ())), "")
    return ThirdPartyFact(inspected_on=next(iter(inspected), None), plate=plate, owner=unit.owner)


def _walk(row: dict[str, Any]) -> WalkFact:
    return WalkFact(_instant(row["at"]), row["by"], row["team_mate"] or "")


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


def _fuel(rows: Rows, *, running: bool) -> FuelFact | None:
    """A cooling unit's tank at its newest reading, and what is learned of its burn."""
    read, details = _newest(rows, "fuel", "fuel_gal"), rows.get("details", ())
    if read is None or not details:
        return None
    tank, learned, until = details[0], None, None
    for row in rows.get("cooling", ()):
        if row["burn_gal_per_h"] is not None:
            rate, spread, hours = (float(row[name]) for name in ("burn_gal_per_h", "burn_spread", "burn_h"))
            learned, until = Burn(rate, spread, hours, row["burn_stretches"]), _instant(row["newest_at"])
    at, level = read
    return FuelFact(
        at=at,
        level_gal=level,
        burn_gal_per_h=_maybe_decimal(tank["burn_gal_per_h"]),
        tank_gal=_maybe_decimal(tank["tank_gal"]),
        unusable_gal=_maybe_decimal(tank["unusable_gal"]) or Decimal(0),
        running=running,
        learned=learned,
        learned_until=until,
    )


def _fuel_lost(cooling: Sequence[dict[str, Any]]) -> Lost | None:
    """What was gone last of a cooling unit's fuel beyond its hours; a release before learned less of it."""
    for row in cooling:
        if row["lost_gone_gal"] is not None:
            figures = (float(row[name]) for name in ("lost_gal", "lost_gone_gal", "lost_engine_h"))
            return Lost(_instant(row["lost_since"]), _instant(row["lost_until"]), *figures)
    return None


def _air(rows: Rows) -> AirFact | None:
    """The box at its newest reading, and what is learned of how it comes down."""
    read = _newest(rows, "air", "air_f")
    if read is None:
        return None
    pull_down, until = None, None
    for row in rows.get("cooling", ()):
        if row["pull_down_floor_f"] is not None:
            pull_down = Approach(float(row["pull_down_floor_f"]), float(row["pull_down_tau_h"]))
            until = _instant(row["newest_at"])
    return AirFact(*read, pull_down, until)


def _newest(rows: Rows, of: str, figure: str) -> tuple[datetime, Decimal] | None:
    """When a figure was read last, and what it was: among the readings learned from and those since."""
    read = [row for kind in ("cooling", of) for row in rows.get(kind, ()) if row[figure] is not None]
    return max(((_instant(row[f"{of}_at"]), _decimal(row[figure])) for row in read), default=None)


def _left(rows: Sequence[dict[str, Any]]) -> Facts:
    """Where and how it was left, without what nobody said."""
    said = ((name, value) for row in rows for name, value in row.items() if value not in {None, ""})
    return tuple((name, number(value) if isinstance(value, Decimal) else value) for name, value in said)


def _instant(text: str) -> datetime:
    return datetime.fromisoformat(text)


def _maybe_instant(text: str | None) -> datetime | None:
    return None if text is None else datetime.fromisoformat(text)


def _decimal(number: Decimal | int | str) -> Decimal:
    return Decimal(number)


def _maybe_decimal(number: Decimal | int | None) -> Decimal | None:
    return None if number is None else Decimal(number)
