"""Holds that a person's judgement brings: placed by hand, or for a fault graded so. `placing` has those of findings."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from uuid import UUID

from common.errors import Conflict, Invalid, NotAllowed, or_not_found
from defects.enums import OPEN_DEFECT_STATES, HoldKind, Severity
from defects.models import Defect, Hold
from defects.rules.catalogue.catalogue import Catalogue
from defects.selectors.catalogue.catalogue import catalogue_in_force
from defects.selectors.defects.naming import faults_named
from defects.services.holds.placing import active_holds, new_hold, notify_of_bars, place_holds
from defects.transitions import PLACE_HOLD
from fleet.models import Notification, Person, Site, Unit
from fleet.services.records.unit_of_work import UnitOfWork, unit_of_work


def place_hold(*, unit_id: UUID, defect_id: UUID | None, reason: str, actor: Person, now: datetime) -> Hold:
    """Place the carrier's hold on a unit for a reason in words, or for an open defect of it; foremen and dispatch hear.

    NotAllowed `role_not_allowed`; NotFound `unit_unknown`; Invalid `defect_not_of_unit`; Conflict `defect_not_open`,
    `defect_held_already`.
    """
    if PLACE_HOLD.isdisjoint(actor.current_roles):
        raise NotAllowed("role_not_allowed", action="place_hold", roles=sorted(PLACE_HOLD))
    with unit_of_work([unit_id], actor=actor, now=now) as work:
        unit = or_not_found(Unit.objects.select_related("home_site").filter(pk=unit_id).first(), "unit_unknown")
        defect = None if defect_id is None else _defect(defect_id, unit)
        if defect is not None:
            work.save(defect)
        holds = place_holds(work, [new_hold(work, HoldKind.CARRIER, unit_id, defect=defect, reason=reason)])
        notify_of_holds(
            holds, units=[unit], catalogue=catalogue_in_force(work.in_force.policies), site=unit.home_site, now=now
        )
        return holds[0]


def _defect(defect_id: UUID, unit: Unit) -> Defect:
    defect = Defect.objects.filter(pk=defect_id, unit=unit).first()
    if defect is None:
        raise Invalid("defect_not_of_unit", pointer="/defect")
    if defect.state not in OPEN_DEFECT_STATES:
        raise Conflict("defect_not_open", defect=defect.number, faults=faults_named([defect]), state=defect.state)
    if active_holds([defect]):
        raise Conflict("defect_held_already", defect=defect.number)
    return defect


def hold_if_grave(work: UnitOfWork, defect: Defect, reason: str) -> None:
    """Place the carrier's hold for a defect that came to say do not move, unless it stands already, and notify."""
    if defect.severity != Severity.DO_NOT_MOVE or active_holds([defect]):
        return
    holds = place_holds(work, [new_hold(work, HoldKind.CARRIER, defect.unit_id, defect=defect, reason=reason)])
    notify_of_holds(
        holds,
        units=[defect.unit],
        catalogue=catalogue_in_force(work.in_force.policies),
        site=defect.unit.home_site,
        now=work.now,
    )


def notify_of_holds(
    holds: Sequence[Hold], *, units: Iterable[Unit], catalogue: Catalogue, site: Site | None, now: datetime
) -> list[Notification]:
    """Notify the foreman and dispatch of each new hold; nothing is read when there is none."""
    return notify_of_bars(holds, (), units=units, catalogue=catalogue, site=site, now=now)
