"""Units of every kind added and edited, one or thousands at once, by the same rules. Retiring one is in `units`."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db import transaction

from common.versions import require_version
from fleet.models import Person, Unit
from fleet.services.records.unit_of_work import UnitOfWork, unit_of_work
from fleet.services.units.changes import Axles, apply_changes, apply_details, replace_axles
from fleet.services.units.details import DETAIL_TABLES, NewUnit, insert_units, refuse_bad_facts, rows_of
from fleet.states import unit_state, unit_table


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


def edit_units(*, edits: Sequence[UnitEdit], actor: Person, now: datetime) -> list[Unit]:
    """Change units, each named once, all or none. One on which nothing changes keeps its version and its history.

    NotFound `unit_unknown`, PreconditionFailed `version_changed`, Conflict `action_not_allowed`, Invalid
    `unit_refused`, for the first of them.
    """
    with unit_of_work([edit.unit_id for edit in edits], actor=actor, now=now) as work:
        units = Unit.objects.in_bulk([edit.unit_id for edit in edits])
        changed: dict[UUID, dict[str, object]] = {}
        for edit in edits:
            unit = units[edit.unit_id]
            require_version(unit, edit.version)
            unit_table(unit).resolve("edit", unit_state(unit), actor.current_roles)
            refuse_bad_facts(unit.kind, edit.facts, edit.axles, now)
            changed[unit.pk] = apply_changes(unit, edit.facts)
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
