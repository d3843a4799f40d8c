"""The roster of people on call: entering a shift and withdrawing it."""

from datetime import datetime
from uuid import UUID

from django.db import transaction

from common.errors import Conflict, Invalid
from fleet.enums import Role
from fleet.models import OnCallShift, Person
from fleet.selectors.carrier.carrier import carriers_day
from fleet.services.records.edits import lock_row


@transaction.atomic
def enter_shift(
    *,
    person_id: UUID,
    role: Role,
    site_id: UUID | None,
    starts_at: datetime,
    ends_at: datetime,
    actor: Person,
    now: datetime,
) -> OnCallShift:
    """Put a person on call in a role that is theirs on the first day, from an instant to an instant.

    NotFound `person_unknown`, Conflict `person_left`, Invalid `end_before_beginning`, `on_call_over`,
    `on_call_role_not_held`.
    """
    person = lock_row(Person.objects.all(), person_id, "person_unknown")
    if person.left_on is not None:
        raise Conflict("person_left", left_on=person.left_on)
    if ends_at <= starts_at:
        raise Invalid("end_before_beginning", pointer="/ends_at", beginning=starts_at)
    if ends_at <= now:
        raise Invalid("on_call_over", pointer="/ends_at")
    first = carriers_day(starts_at)
    if not any(held.in_force(first) for held in person.roles.filter(role=role)):
        raise Invalid("on_call_role_not_held", pointer="/role")
    return OnCallShift.objects.create(
        person=person,
        role=role,
        site_id=site_id,
        starts_at=starts_at,
        ends_at=ends_at,
        recorded_at=now,
        recorded_by=actor,
    )


@transaction.atomic
def withdraw_shift(*, shift_id: UUID, actor: Person, now: datetime) -> OnCallShift:
    """Take a turn back from now on; it stays on record. NotFound `on_call_unknown`, Conflict `on_call_withdrawn`."""
    shift = lock_row(OnCallShift.objects.all(), shift_id, "on_call_unknown")
    if shift.withdrawn_at is not None:
        raise Conflict("on_call_withdrawn")
    shift.withdrawn_at, shift.withdrawn_by = now, actor
    shift.save(update_fields=["withdrawn_at", "withdrawn_by"])
    return shift
