"""Freezing a unit's file for a crash, a claim or a complaint, and letting it go again. It bars no unit from rolling."""

from datetime import datetime
from uuid import UUID

from common.errors import or_not_found
from fleet.enums import HoldCause, HoldState
from fleet.models import LegalHold, Person
from fleet.services.records.unit_of_work import unit_of_work
from fleet.transitions import LEGAL_HOLD


def place_legal_hold(*, unit_id: UUID, cause: HoldCause, reason: str, actor: Person, now: datetime) -> LegalHold:
    """Freeze a unit's file: from here on nothing of it is purged, a retired unit's neither.

    A unit may be under several. It locks the unit, so that a purge of its records is over or has not begun. NotFound
    `unit_unknown`.
    """
    with unit_of_work([unit_id], actor=actor, now=now) as work:
        hold = LegalHold.objects.create(unit_id=unit_id, cause=cause, reason=reason, placed_at=now, placed_by=actor)
        body = {"cause": cause, "reason": reason}
        work.record(unit_id, "legal_hold_placed", subject=hold.pk, body=body)
        return hold


def lift_legal_hold(*, hold_id: UUID, reason: str, actor: Person, now: datetime) -> LegalHold:
    """Let the file go again; what is past its days by then goes with the next job unless another hold stands.

    NotFound `legal_hold_unknown`, Conflict `action_not_allowed`, Invalid `required_fields_missing`.
    """
    known = or_not_found(LegalHold.objects.filter(pk=hold_id).first(), "legal_hold_unknown")
    with unit_of_work([known.unit_id], actor=actor, now=now) as work:
        hold = LegalHold.objects.get(pk=hold_id)
        LEGAL_HOLD.resolve("lift", legal_hold_state(hold), actor.current_roles, {"reason": reason})
        hold.lifted_at, hold.lifted_by, hold.lift_reason = now, actor, reason
        hold.save(update_fields=["lifted_at", "lifted_by", "lift_reason"])
        body = {"cause": hold.cause, "reason": reason}
        work.record(hold.unit_id, "legal_hold_lifted", subject=hold.pk, body=body)
        return hold


def legal_hold_state(hold: LegalHold) -> HoldState:
    """Return `active` or `lifted`."""
    return HoldState.ACTIVE if hold.lifted_at is None else HoldState.LIFTED
