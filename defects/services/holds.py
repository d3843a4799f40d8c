"""Holds that a person places. Those of a finding are placed with it; lifting stands in `lifting`."""

from datetime import datetime
from uuid import UUID

from common.errors import Conflict, Invalid, NotAllowed, NotFound
from defects.enums import OPEN_DEFECT_STATES, HoldKind
from defects.models import Defect, Hold
from defects.selectors.catalogue import catalogue_in_force
from defects.selectors.words import faults_named
from defects.services.defects.locked import has_standing_hold
from defects.services.histories import record_placed
from defects.services.telling import tell_of_holds
from defects.transitions import PLACE_HOLD
from fleet.models import Person, Unit
from fleet.selectors.carrier.policies import standing_policies
from fleet.services.records.unit_of_work import unit_of_work


def place_hold(*, unit_id: UUID, defect_id: UUID | None, reason: str, actor: Person, now: datetime) -> Hold:
    """Place the carrier's hold on a unit for a reason in words, or for an open defect of it; foremen and dispatch hear.

    NotAllowed `role_not_allowed`; NotFound `unit_unknown`; Invalid `defect_not_of_unit`; Conflict `defect_not_open`,
    `defect_held_already`.
    """
    if PLACE_HOLD.isdisjoint(actor.current_roles):
        raise NotAllowed("role_not_allowed", action="place_hold", roles=sorted(PLACE_HOLD))
    with unit_of_work([unit_id], actor=actor, now=now) as work:
        unit = Unit.objects.select_related("home_site").filter(pk=unit_id).first()
        if unit is None:
            raise NotFound("unit_unknown")
        hold = Hold(
            unit=unit,
            kind=HoldKind.CARRIER,
            defect=None if defect_id is None else _defect(defect_id, unit),
            reason=reason,
            placed_at=now,
            placed_by=actor,
            recorded_at=now,
        )
        hold.save(force_insert=True)
        record_placed(work, [hold], now)
        catalogue = catalogue_in_force(standing_policies(now=now).policies)
        tell_of_holds([hold], units=[unit], catalogue=catalogue, site=unit.home_site, now=now)
        return hold


def _defect(defect_id: UUID, unit: Unit) -> Defect:
    defect = Defect.objects.filter(pk=defect_id, unit=unit).first()
    if defect is None:
        raise Invalid("defect_not_of_unit", pointer="/defect")
    if defect.state not in OPEN_DEFECT_STATES:
        raise Conflict("defect_not_open", defect=defect.number, faults=faults_named([defect]), state=defect.state)
    if has_standing_hold(defect):
        raise Conflict("defect_held_already", defect=defect.number)
    return defect
