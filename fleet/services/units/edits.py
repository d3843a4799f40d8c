"""The writer of edits of units: what changes of their rows, details and axles, one or a whole table."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from common.errors import Conflict
from common.versions import require_version
from fleet.models import Axle, CoolingUnitDetails, Person, TractorDetails, TrailerDetails, Unit
from fleet.rules.units.description import DETAILS, FactProblem, detail_problems
from fleet.selectors.units.combinations import members_of_couplings, mountings_at
from fleet.selectors.units.lookup import unit_state, unit_table
from fleet.services.records.unit_of_work import unit_of_work
from fleet.services.units.writers import (
    AXLE_COLUMNS,
    DETAIL_TABLES,
    Axles,
    apply_changes,
    axles_as_stored,
    insert_axles,
    raise_problems,
    refuse_bad_facts,
    refuse_unknown,
    rows_of,
)
from fleet.signals import unit_given_away

Details = TractorDetails | TrailerDetails | CoolingUnitDetails


@dataclass(frozen=True)
class UnitEdit:
    """What is to be changed on a unit of that version: the facts and details given, and all axles when they are."""

    unit_id: UUID
    version: int | None
    facts: Mapping[str, object]
    details: Mapping[str, object]
    axles: Axles | None = None


def apply_details(row: Details, kind: str, details: Mapping[str, object]) -> dict[str, object]:
    """Set details on a locked unit's row of them without saving it; KeyError for one that its kind has not."""
    refuse_unknown(details, DETAILS[kind])
    changed: dict[str, object] = {
        name: [getattr(row, name), value] for name, value in details.items() if getattr(row, name) != value
    }
    for name, value in details.items():
        setattr(row, name, value)
    raise_problems("unit_refused", detail_problems({name: getattr(row, name) for name in DETAILS[kind]}))
    return changed


def replace_axles(axles: Mapping[UUID, Axles]) -> dict[UUID, list[object]]:
    """Set the axles of locked units anew where they differ; return those before and after by unit.

    Invalid `unit_refused` for no axles in place of some: without them nobody knows what brakes and tires it has.
    """
    before: defaultdict[UUID, list[dict[str, object]]] = defaultdict(list)
    present = Axle.objects.filter(unit_id__in=axles).order_by("unit_id", "number")
    for row in present.values("unit_id", *AXLE_COLUMNS):
        before[row.pop("unit_id")].append(row)
    changed = {unit: given for unit, given in axles.items() if axles_as_stored(given) != before[unit]}
    if not all(changed.values()):
        raise_problems("unit_refused", [FactProblem("axles", "axles_emptied")])
    Axle.objects.filter(unit_id__in=changed).delete()
    insert_axles(changed)
    return {unit: [before[unit], given] for unit, given in changed.items()}


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
