"""Placing holds: those that a fault brings, an officer's orders, and those that a person places. The one writer."""

from collections.abc import Collection, Iterable, Sequence
from datetime import datetime
from uuid import UUID

from common.errors import Conflict, Invalid, NotAllowed, NotFound
from defects.enums import OPEN_DEFECT_STATES, HoldKind, Severity
from defects.models import Defect, Hold, RoadsideInspection
from defects.rules.catalogue.closed_sets import Language
from defects.selectors.catalogue.catalogue import catalogue_in_force
from defects.selectors.defects.naming import faults_named, names_of_defect
from defects.selectors.holds import standing_holds
from defects.services.holds.notifications import notify_of_holds
from defects.transitions import PLACE_HOLD
from fleet.models import Person, Unit
from fleet.services.records.unit_of_work import UnitOfWork, unit_of_work


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
    if standing_holds([defect]):
        raise Conflict("defect_held_already", defect=defect.number)
    return defect


def hold_if_grave(work: UnitOfWork, defect: Defect, reason: str) -> None:
    """Place the carrier's hold for a defect that came to say do not move, unless it stands already, and notify."""
    if defect.severity != Severity.DO_NOT_MOVE or standing_holds([defect]):
        return
    holds = place_holds(work, [new_hold(work, HoldKind.CARRIER, defect.unit_id, defect=defect, reason=reason)])
    notify_of_holds(
        holds,
        units=[defect.unit],
        catalogue=catalogue_in_force(work.in_force.policies),
        site=defect.unit.home_site,
        now=work.now,
    )


def holds_of_grave(
    work: UnitOfWork,
    defects: Iterable[Defect],
    standing: Collection[Hold],
    *,
    at: datetime,
) -> list[Hold]:
    """The carrier's hold, unsaved, for each defect that says do not move, unless one of `standing` holds for it."""
    held = {hold.defect_id for hold in standing}
    grave = {defect.pk: defect for defect in defects if defect.severity == Severity.DO_NOT_MOVE}
    return [
        new_hold(work, HoldKind.CARRIER, defect.unit_id, defect=defect, at=at)
        for key, defect in grave.items()
        if key not in held
    ]


def new_hold(
    work: UnitOfWork,
    kind: HoldKind,
    unit_id: UUID,
    *,
    defect: Defect | None = None,
    roadside: RoadsideInspection | None = None,
    at: datetime | None = None,
    reason: str = "",
) -> Hold:
    """A hold, unsaved, placed by the actor now where `at` says nothing else. Without a reason the defect's name is."""
    return Hold(
        unit_id=unit_id,
        kind=kind,
        defect=defect,
        roadside=roadside,
        reason=reason or ("" if defect is None else names_of_defect(defect)[Language.ENGLISH]),
        placed_at=at or work.now,
        placed_by=work.actor,
        recorded_at=work.now,
    )


def place_holds(work: UnitOfWork, holds: Sequence[Hold]) -> list[Hold]:
    """Store holds and note them in their units' histories, where the name of a defect is kept in every language."""
    if not holds:
        return []
    placed = Hold.objects.bulk_create(holds)
    for hold in placed:
        names = {} if hold.defect is None else names_of_defect(hold.defect)
        is_name = hold.reason in names.values()
        work.record(
            hold.unit_id,
            "hold_placed",
            subject=hold.pk,
            performed_at=hold.placed_at,
            body={
                "hold": hold.number,
                "kind": hold.kind,
                "defect": hold.defect_id,
                "reason": names if is_name else hold.reason,
                **({"fault": names} if names and not is_name else {}),
            },
        )
    return placed
