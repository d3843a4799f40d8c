"""The writers of units: their rows, details, axles and chains, added and edited, one or a whole table."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Manager, Model

from common.errors import Conflict, FieldProblem, Invalid
from common.versions import require_version
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
from fleet.selectors.units.combinations import members_of_couplings, mountings_at
from fleet.selectors.units.lookup import unit_state, unit_table
from fleet.services.records.unit_of_work import UnitOfWork, unit_of_work
from fleet.signals import unit_given_away

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


def insert_axles(axles: Mapping[UUID, Sequence[Mapping[str, object]]]) -> None:
    Axle.objects.bulk_create(Axle(unit_id=unit, **axle) for unit, each in axles.items() for axle in each)


Axles = Sequence[Mapping[str, object]]
Details = TractorDetails | TrailerDetails | CoolingUnitDetails

AXLE_COLUMNS = tuple(field.attname for field in Axle._meta.concrete_fields if field.name not in {"id", "unit"})  # noqa: SLF001 - Django's documented model API


def apply_changes(unit: Unit, facts: Mapping[str, object]) -> dict[str, object]:
    """Set facts on a locked unit without saving it. KeyError for what is no fact of a unit."""
    _refuse_unknown(facts, FACTS)
    changed: dict[str, object] = {
        name: [getattr(unit, name), value] for name, value in facts.items() if getattr(unit, name) != value
    }
    for name, value in facts.items():
        setattr(unit, name, value)
    return changed


def apply_details(row: Details, kind: str, details: Mapping[str, object]) -> dict[str, object]:
    """Set details on a locked unit's row of them without saving it; KeyError for one that its kind has not."""
    _refuse_unknown(details, DETAILS[kind])
    changed: dict[str, object] = {
        name: [getattr(row, name), value] for name, value in details.items() if getattr(row, name) != value
    }
    for name, value in details.items():
        setattr(row, name, value)
    raise_problems("unit_refused", detail_problems({name: getattr(row, name) for name in DETAILS[kind]}))
    return changed


def replace_axles(axles: Mapping[UUID, Axles]) -> dict[UUID, list[object]]:
    """Set the axles of locked units anew where they differ; return those before and after by unit.

    Invalid `unit_refused` for no axles in place of some: of a unit without them no brake and no tire is asked.
    """
    before: defaultdict[UUID, list[dict[str, object]]] = defaultdict(list)
    present = Axle.objects.filter(unit_id__in=axles).order_by("unit_id", "number")
    for row in present.values("unit_id", *AXLE_COLUMNS):
        before[row.pop("unit_id")].append(row)
    changed = {unit: given for unit, given in axles.items() if _as_stored(given) != before[unit]}
    if not all(changed.values()):
        raise_problems("unit_refused", [FactProblem("axles", "axles_emptied")])
    Axle.objects.filter(unit_id__in=changed).delete()
    insert_axles(changed)
    return {unit: [before[unit], given] for unit, given in changed.items()}


def _as_stored(axles: Axles) -> list[dict[str, object]]:
    rows = sorted((Axle(**axle) for axle in axles), key=lambda row: row.number)
    return [{name: getattr(row, name) for name in AXLE_COLUMNS} for row in rows]


def _refuse_unknown(given: Mapping[str, object], known: frozenset[str]) -> None:
    unknown = set(given) - known
    if unknown:
        raise KeyError(", ".join(sorted(unknown)))


@dataclass(frozen=True)
class UnitEdit:
    """What is to be changed on a unit of that version: the facts and details given, and all axles when they are."""

    unit_id: UUID
    version: int | None
    facts: Mapping[str, object]
    details: Mapping[str, object]
    axles: Axles | None = None


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


def refuse_in_combination(unit: Unit, at: datetime) -> None:
    """Conflict `unit_in_coupling`, `unit_mounted` for a unit that is part of a combination."""
    if any(row.unit_id == unit.pk for row in members_of_couplings([unit.pk], at)):
        raise Conflict("unit_in_coupling")
    if mountings_at([unit.pk], at):
        raise Conflict("unit_mounted")


def edit_units(*, edits: Sequence[UnitEdit], actor: Person, now: datetime) -> list[Unit]:
    """Change units, each named once, all or none. One on which nothing changes keeps its version and its history.

    NotFound `unit_unknown`, PreconditionFailed `version_changed`, Conflict `action_not_allowed`, and as
    `refuse_in_combination` for one that is no longer ours, Invalid `unit_refused`, for the first of them.
    """
    with unit_of_work([edit.unit_id for edit in edits], actor=actor, now=now) as work:
        units = Unit.objects.in_bulk([edit.unit_id for edit in edits])
        changed: dict[UUID, dict[str, object]] = {}
        for edit in edits:
            unit = units[edit.unit_id]
            require_version(unit, edit.version)
            unit_table(unit).resolve("edit", unit_state(unit), actor.current_roles)
            refuse_bad_facts(unit.kind, edit.facts, edit.axles, now)
            ours = not unit.owner
            changed[unit.pk] = apply_changes(unit, edit.facts)
            if ours and unit.owner:
                refuse_in_combination(unit, now)
                unit_given_away.send(Unit, unit=unit)
        for key, details in _save_details(edits, units).items():
            changed[key].update(details)
        for key, axles in replace_axles({edit.unit_id: edit.axles for edit in edits if edit.axles is not None}).items():
            changed[key]["axles"] = axles
        columns = {name for edit in edits for name in edit.facts}
        bodies = {key: body for key, body in changed.items() if body}
        for key, body in bodies.items():
            units[key].version += 1
            work.record(key, "unit_edited", subject=key, body=body)
        Unit.objects.bulk_update([units[key] for key in bodies], [*sorted(columns), "version"])
        return [units[edit.unit_id] for edit in edits]


def _save_details(edits: Sequence[UnitEdit], units: Mapping[UUID, Unit]) -> dict[UUID, dict[str, object]]:
    by_kind: defaultdict[str, list[UnitEdit]] = defaultdict(list)
    for edit in edits:
        if edit.details:
            by_kind[units[edit.unit_id].kind].append(edit)
    changed = {}
    for kind, given in by_kind.items():
        manager = rows_of(DETAIL_TABLES[kind])
        rows = manager.in_bulk([edit.unit_id for edit in given])
        for edit in given:
            changed[edit.unit_id] = apply_details(rows[edit.unit_id], kind, edit.details)
        manager.bulk_update(rows.values(), sorted({name for edit in given for name in edit.details}))
    return changed
