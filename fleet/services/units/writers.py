"""The writers of new units: their rows, details, axles and chains, one or a whole table."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Manager, Model

from common.errors import FieldProblem, Invalid
from fleet.enums import UnitKind
from fleet.models import Axle, CoolingUnitDetails, Person, TractorDetails, TrailerDetails, Unit, UnitChain
from fleet.rules.records.chain import GENESIS
from fleet.rules.units.description import (
    DETAILS,
    FACTS,
    FactProblem,
    axle_problems,
    chamber_problems,
    detail_problems,
    fact_problems,
)
from fleet.services.records.unit_of_work import UnitOfWork

DETAIL_TABLES: Mapping[str, type[TractorDetails | TrailerDetails | CoolingUnitDetails]] = {
    UnitKind.TRACTOR: TractorDetails,
    UnitKind.TRAILER: TrailerDetails,
    UnitKind.COOLING_UNIT: CoolingUnitDetails,
}


def refuse_bad_facts(
    kind: str, facts: Mapping[str, object], axles: Sequence[Mapping[str, object]] | None, now: datetime
) -> None:
    """Invalid `unit_refused` with every rule that the facts or axles of a unit break."""
    raise_problems("unit_refused", problems_of(kind, facts, axles, now))


def problems_of(
    kind: str, facts: Mapping[str, object], axles: Sequence[Mapping[str, object]] | None, now: datetime
) -> list[FactProblem]:
    """Every rule that the facts or axles of a unit break."""
    problems = fact_problems(kind, facts, now.date())
    if axles is not None:
        problems += axle_problems(kind, [(int(str(axle["number"])), str(axle["role"])) for axle in axles])
        problems += chamber_problems(axles)
    return problems


def raise_problems(code: str, problems: Iterable[FactProblem]) -> None:
    """Invalid `code` with a pointer to each problem; nothing when there is none."""
    found = [FieldProblem(f"/{problem.field}", problem.code) for problem in problems]
    if found:
        raise Invalid(code, problems=found)


@dataclass(frozen=True)
class NewUnit:
    """A unit to be added: facts and details as in `fleet.rules.units.description`, axles as columns of `Axle`."""

    kind: UnitKind
    facts: Mapping[str, object]
    details: Mapping[str, object] = field(default_factory=dict)
    axles: Sequence[Mapping[str, object]] = ()


def insert_unit(
    kind: UnitKind,
    facts: Mapping[str, object],
    details: Mapping[str, object],
    axles: Sequence[Mapping[str, object]],
    now: datetime,
) -> tuple[Unit, UnitChain]:
    """A new unit with its rows; its chain is new, so it is locked by nobody else until the transaction ends."""
    return insert_units([NewUnit(kind, facts, details, axles)], now)[0]


def insert_units(given: Sequence[NewUnit], now: datetime) -> list[tuple[Unit, UnitChain]]:
    """New units with their rows, in a handful of statements however many there are."""
    units = Unit.objects.bulk_create(Unit(kind=new.kind, recorded_at=now, **new.facts) for new in given)
    rows = [details_row(unit, new.details) for unit, new in zip(units, given, strict=True)]
    for table in DETAIL_TABLES.values():
        rows_of(table).bulk_create(row for row in rows if type(row) is table)
    insert_axles({unit.pk: new.axles for unit, new in zip(units, given, strict=True)})
    chains = UnitChain.objects.bulk_create(UnitChain(unit=unit, head=GENESIS) for unit in units)
    return list(zip(units, chains, strict=True))


def details_row(unit: Unit, details: Mapping[str, object]) -> Model:
    """An unsaved details row of the unit's kind. KeyError for a detail that its kind has not."""
    unknown = set(details) - DETAILS[unit.kind]
    if unknown:
        raise KeyError(", ".join(sorted(unknown)))
    raise_problems("unit_refused", detail_problems(details))
    return DETAIL_TABLES[unit.kind](unit=unit, **details)


def rows_of(table: type[Model]) -> Manager[Any]:
    """All rows of a table, whichever of the detail tables it is."""
    return table._default_manager  # noqa: SLF001 - Django's documented way to a model's manager


Axles = Sequence[Mapping[str, object]]
AXLE_COLUMNS = tuple(field.attname for field in Axle._meta.concrete_fields if field.name not in {"id", "unit"})  # noqa: SLF001 - Django's documented model API


def insert_axles(axles: Mapping[UUID, Sequence[Mapping[str, object]]]) -> None:
    Axle.objects.bulk_create(Axle(unit_id=unit, **axle) for unit, each in axles.items() for axle in each)


def axles_as_stored(axles: Axles) -> list[dict[str, object]]:
    rows = sorted((Axle(**axle) for axle in axles), key=lambda row: row.number)
    return [{name: getattr(row, name) for name in AXLE_COLUMNS} for row in rows]


def apply_changes(unit: Unit, facts: Mapping[str, object]) -> dict[str, object]:
    """Set facts on a locked unit without saving it. KeyError for what is no fact of a unit."""
    refuse_unknown(facts, FACTS)
    changed: dict[str, object] = {
        name: [getattr(unit, name), value] for name, value in facts.items() if getattr(unit, name) != value
    }
    for name, value in facts.items():
        setattr(unit, name, value)
    return changed


def refuse_unknown(given: Mapping[str, object], known: frozenset[str]) -> None:
    unknown = set(given) - known
    if unknown:
        raise KeyError(", ".join(sorted(unknown)))


@transaction.atomic
def create_units(*, units: Sequence[NewUnit], actor: Person, now: datetime) -> list[Unit]:
    """Add units, all or none; Invalid `unit_refused` for the first that breaks a rule.

    The number and VIN of a unit not retired are unique.
    """
    for new in units:
        refuse_bad_facts(new.kind, new.facts, new.axles, now)
    rows = insert_units(units, now)
    work = UnitOfWork([chain for _, chain in rows], actor, now)
    for new, (unit, _) in zip(units, rows, strict=True):
        body = {"kind": new.kind, **new.facts, "details": new.details, "axles": new.axles}
        work.record(unit.pk, "unit_added", subject=unit.pk, body=body)
    work.write()
    return [unit for unit, _ in rows]
