"""Units of every kind from the desk: adding, editing and retiring one. Nothing here deletes."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from uuid import UUID

from django.db import transaction

from common.clock import refuse_future_day
from common.versions import require_version
from fleet.enums import UnitKind
from fleet.models import Person, Unit
from fleet.selectors.units.lookup import get_unit, unit_state, unit_table
from fleet.services.records.unit_of_work import unit_of_work
from fleet.services.units.edits import UnitEdit, edit_units, refuse_in_combination
from fleet.services.units.writers import NewUnit, create_units

AxleFacts = Sequence[Mapping[str, object]]


@transaction.atomic
def create_unit(
    *,
    kind: UnitKind,
    facts: Mapping[str, object],
    details: Mapping[str, object],
    axles: AxleFacts,
    actor: Person,
    now: datetime,
) -> Unit:
    """Add a unit of ours, or of others when `facts` name an `owner`.

    `facts` and `details` are those of `rules.units.description`; axles are given as the columns of `Axle`. Invalid
    `unit_refused` with a pointer to each rule broken; the number and VIN of a unit not retired are unique.
    """
    return create_units(units=[NewUnit(kind, facts, details, axles)], actor=actor, now=now)[0]


@transaction.atomic
def edit_unit(
    *,
    unit_id: UUID,
    version: int | None,
    facts: Mapping[str, object],
    details: Mapping[str, object],
    axles: AxleFacts | None,
    actor: Person,
    now: datetime,
) -> Unit:
    """Change the facts and details that are given, and all axles when they are.

    PreconditionFailed `version_changed`, Conflict `action_not_allowed`, and as `refuse_in_combination` where the unit
    is no longer ours; Invalid `unit_refused`.
    """
    edit = UnitEdit(unit_id, version, facts, details, axles)
    return edit_units(edits=[edit], actor=actor, now=now)[0]


def retire_unit(
    *, unit_id: UUID, version: int | None, retired_on: date, reason: str, today: date, actor: Person, now: datetime
) -> Unit:
    """Take a unit out of service for good: its history stays, its number is free.

    Conflict `action_not_allowed`, `unit_in_coupling`, `unit_mounted`; Invalid `date_in_future`.
    """
    with unit_of_work([unit_id], actor=actor, now=now) as work:
        unit = get_unit(unit_id)
        require_version(unit, version)
        unit_table(unit).resolve(
            "retire", unit_state(unit), actor.current_roles, {"retired_on": retired_on, "reason": reason}
        )
        refuse_future_day(retired_on, today, "/retired_on")
        refuse_in_combination(unit, now)
        unit.retired_on = retired_on
        work.save(unit, "retired_on")
        body = {"retired_on": retired_on, "reason": reason}
        work.record(unit.pk, "unit_retired", subject=unit.pk, body=body)
        return unit
